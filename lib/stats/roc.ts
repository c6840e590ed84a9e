/**
 * How well a score tells changed from unchanged: the area under the receiver operating characteristic and its error.
 *
 * Model   AUC = P(score of a positive > score of a negative) + P(equal) / 2, the Mann-Whitney statistic over m n; its variance is
 *         var(V10) / m + var(V01) / n with the placements V10 of each positive among the negatives and V01 the other way round.
 * Source  DeLong, DeLong & Clarke-Pearson, Biometrics 44(3):837-845, 1988, doi:10.2307/2531595.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { mean, sampleVariance } from './sum.ts';
import { COVERAGE_95 } from './uncertainty.ts';

export type RocArea = Readonly<{ area: number; u: number; positives: number; negatives: number }>;

/** Higher scores speak for a change. Needs two of each kind. */
export function rocArea(positive: ArrayLike<number>, negative: ArrayLike<number>): Outcome<RocArea, 'too-few'> {
  const [m, n] = [positive.length, negative.length];
  if (m < 2 || n < 2)
    return refused('too-few', `An area under the ROC curve needs at least 2 positives and 2 negatives, got ${m} and ${n}.`);
  const placed = placementsAmong(positive, negative);
  const other = placementsAmong(negative, positive).map((share) => 1 - share);
  const u = Math.sqrt(sampleVariance(placed) / m + sampleVariance(other) / n);
  return found({ area: mean(placed), u, positives: m, negatives: n });
}

/** Of each score, the share of the others that lies below it, ties counted half. */
export function placementsAmong(scores: ArrayLike<number>, others: ArrayLike<number>): Float64Array {
  const sorted = Float64Array.from(others).sort();
  return Float64Array.from(scores, (score) => (countBelow(sorted, score, false) + countBelow(sorted, score, true)) / 2 / sorted.length);
}

/** How many of the sorted values lie below `bound`, or at it as well. */
function countBelow(sorted: Float64Array, bound: number, withEqual: boolean): number {
  let [low, high] = [0, sorted.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (sorted[middle] < bound || (withEqual && sorted[middle] === bound)) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** The 95 % interval of an area, cut at 0 and 1. Null when the placements have no scatter: an area of just 0 or 1 does not say how sure it is. */
export function areaInterval({ area, u }: Readonly<{ area: number; u: number }>): [number, number] | null {
  return u > 0 ? [Math.max(0, area - COVERAGE_95 * u), Math.min(1, area + COVERAGE_95 * u)] : null;
}

export type RocPoint = Readonly<{ falseAlarms: number; found: number }>;

/** The curve from (0, 0) to (1, 1), a point for each distinct score. */
export function rocCurve(positive: ArrayLike<number>, negative: ArrayLike<number>): RocPoint[] {
  const all = [...Array.from(positive, (score) => ({ score, is: true })), ...Array.from(negative, (score) => ({ score, is: false }))].sort(
    (a, b) => b.score - a.score,
  );
  const points: RocPoint[] = [{ falseAlarms: 0, found: 0 }];
  let [hits, alarms] = [0, 0];
  all.forEach(({ score, is }, i) => {
    if (is) hits++;
    else alarms++;
    if (i + 1 === all.length || all[i + 1].score !== score)
      points.push({ falseAlarms: alarms / Math.max(1, negative.length), found: hits / Math.max(1, positive.length) });
  });
  return points;
}

export type BestCut = Readonly<{ cut: number; sensitivity: number; specificity: number; found: number; cleared: number }>;

/**
 * The cut with the largest sensitivity + specificity, scores at or above it counting as positive; of equals the most specific.
 * Chosen on the same data that it is judged by, it flatters itself. Source: Youden, Cancer 3(1):32-35, 1950.
 */
export function bestCut(positive: ArrayLike<number>, negative: ArrayLike<number>): BestCut {
  if (positive.length === 0 || negative.length === 0) throw new RangeError('a cut needs positives and negatives');
  const [up, down] = [Float64Array.from(positive).sort(), Float64Array.from(negative).sort()];
  const cuts = [...new Set([...up, ...down])].sort((a, b) => b - a);
  let best: BestCut | null = null;
  for (const cut of cuts) {
    const found = up.length - countBelow(up, cut, false);
    const cleared = countBelow(down, cut, false);
    const [sensitivity, specificity] = [found / up.length, cleared / down.length];
    if (!best || sensitivity + specificity > best.sensitivity + best.specificity + 1e-12)
      best = { cut, sensitivity, specificity, found, cleared };
  }
  return best!;
}
