/**
 * The area under the receiver operating characteristic when a subject gives several scores, such as several zones of one face.
 *
 * Model   area as in roc.ts, over all scores; placements are summed within each subject, and the subjects' sums, positive and negative ones with
 *         their covariance, give the variance. With one score a subject it comes to DeLong's.
 * Source  Obuchowski, Biometrics 53(2):567-578, 1997, doi:10.2307/2533958.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { placementsAmong } from './roc.ts';
import { mean, sum } from './sum.ts';

export type ClusteredScore = Readonly<{ subject: string | number; score: number; positive: boolean }>;
export type ClusteredArea = Readonly<{ area: number; u: number; positives: number; negatives: number; subjects: number }>;

/** Higher scores speak for a positive. Needs positives from two subjects and negatives from two. */
export function clusteredRocArea(scores: readonly ClusteredScore[]): Outcome<ClusteredArea, 'too-few'> {
  const positive = scores.filter((one) => one.positive);
  const negative = scores.filter((one) => !one.positive);
  const [withPositive, withNegative] = [positive, negative].map((side) => new Set(side.map(({ subject }) => subject)).size);
  if (withPositive < 2 || withNegative < 2)
    return refused(
      'too-few',
      `An area under the ROC curve needs positives of at least 2 subjects and negatives of at least 2, got ${withPositive} and ${withNegative}.`,
    );
  const [x, y] = [positive, negative].map((side) => side.map(({ score }) => score));
  const placed = placementsAmong(x, y);
  const other = placementsAmong(y, x).map((share) => 1 - share);
  const area = mean(placed);
  const subjects = [...new Set(scores.map(({ subject }) => subject))];
  const beyond = (side: readonly ClusteredScore[], shares: Float64Array): Map<string | number, number> => {
    const sums = new Map<string | number, number>();
    side.forEach(({ subject }, i) => {
      sums.set(subject, (sums.get(subject) ?? 0) + shares[i] - area);
    });
    return sums;
  };
  const [a, b] = [beyond(positive, placed), beyond(negative, other)];
  const [m, n] = [positive.length, negative.length];
  const ofSide = (sums: ReadonlyMap<string | number, number>, size: number, clusters: number): number =>
    ((clusters / ((clusters - 1) * size)) * sum([...sums.values()].map((v) => v * v))) / size;
  const both = sum(subjects.map((subject) => (a.get(subject) ?? 0) * (b.get(subject) ?? 0)));
  const shared = (subjects.length / (subjects.length - 1)) * both;
  const variance = ofSide(a, m, withPositive) + ofSide(b, n, withNegative) + (2 * shared) / (m * n);
  return found({ area, u: Math.sqrt(Math.max(0, variance)), positives: m, negatives: n, subjects: subjects.length });
}
