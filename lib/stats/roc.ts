/**
 * How well a score tells changed from unchanged: the area under the receiver operating characteristic and its error.
 *
 * Model   AUC = P(score of a positive > score of a negative) + P(equal) / 2, the Mann-Whitney statistic over m n; its variance is
 *         var(V10) / m + var(V01) / n with the placements V10 of each positive among the negatives and V01 the other way round.
 * Source  DeLong, DeLong & Clarke-Pearson, Biometrics 44(3):837-845, 1988, doi:10.2307/2531595.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { mean, sampleVariance } from './sum.ts';

export type RocArea = Readonly<{ area: number; u: number; positives: number; negatives: number }>;

/** Higher scores speak for a change. Needs two of each kind. */
export function rocArea(positive: ArrayLike<number>, negative: ArrayLike<number>): Outcome<RocArea, 'too-few'> {
  const [m, n] = [positive.length, negative.length];
  if (m < 2 || n < 2)
    return refused('too-few', `An area under the ROC curve needs at least 2 positives and 2 negatives, got ${m} and ${n}.`);
  const placed = placements(positive, negative);
  const other = placements(negative, positive).map((share) => 1 - share);
  const u = Math.sqrt(sampleVariance(placed) / m + sampleVariance(other) / n);
  return found({ area: mean(placed), u, positives: m, negatives: n });
}

/** Of each score, the share of the others that lies below it, ties counted half. */
function placements(scores: ArrayLike<number>, others: ArrayLike<number>): Float64Array {
  return Float64Array.from(scores, (score) => {
    let below = 0;
    for (let j = 0; j < others.length; j++) below += others[j] < score ? 1 : others[j] === score ? 0.5 : 0;
    return below / others.length;
  });
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
