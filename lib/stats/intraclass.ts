/**
 * Intraclass correlation: reliability of ratings or of repeated measurements, in all six forms.
 *
 * Model   every subject is rated by every judge. Form 1: judges differ from subject to subject; 2: judges are a sample
 *         (absolute agreement); 3: these judges are the only ones (consistency). `single` is of one judge, `average` of the mean of all.
 * Source  Shrout & Fleiss, Psychological Bulletin 86(2):420-428, 1979, doi:10.1037/0033-2909.86.2.420;
 *         names of forms and the call to report them: Koo & Li, Journal of Chiropractic Medicine 15(2):155-163, 2016,
 *         doi:10.1016/j.jcm.2016.02.012.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { mean, sum } from './sum.ts';
import { fisherQuantile, fisherTail } from './tails.ts';

export type Reliability = Readonly<{ value: number; ci95: readonly [number, number]; p: number }>;
export type IntraclassForm = Readonly<{ single: Reliability; average: Reliability }>;

export type Intraclass = Readonly<{
  subjects: number;
  judges: number;
  /** Mean squares: between subjects, within subjects, between judges, residual. */
  meanSquares: Readonly<{ between: number; within: number; judges: number; residual: number }>;
  /** ICC(1,1) and ICC(1,k). */
  oneWay: IntraclassForm;
  /** ICC(2,1) and ICC(2,k). */
  agreement: IntraclassForm;
  /** ICC(3,1) and ICC(3,k). */
  consistency: IntraclassForm;
  /** Standard error of measurement of one rating: with and without the judges' own biases. */
  semAgreement: number;
  semConsistency: number;
}>;

/** `ratings` holds a row a subject, with one rating by each judge, in the same order. */
export function intraclass(ratings: readonly (readonly number[])[]): Outcome<Intraclass, 'too-few' | 'no-spread'> {
  const n = ratings.length;
  const k = ratings[0]?.length ?? 0;
  if (ratings.some((row) => row.length !== k)) throw new RangeError('every subject needs a rating by every judge');
  if (n < 2 || k < 2) return refused('too-few', `Reliability needs at least 2 subjects and 2 ratings each, got ${n} and ${k}.`);

  const grand = mean(ratings.flat());
  const rowMeans = ratings.map(mean);
  const columnMeans = ratings[0].map((_, j) => mean(ratings.map((row) => row[j])));
  const between = (k * sum(rowMeans.map((m) => (m - grand) ** 2))) / (n - 1);
  const judges = (n * sum(columnMeans.map((m) => (m - grand) ** 2))) / (k - 1);
  const within = sum(ratings.flatMap((row, i) => row.map((value) => (value - rowMeans[i]) ** 2))) / (n * (k - 1));
  const residual =
    sum(ratings.flatMap((row, i) => row.map((value, j) => (value - rowMeans[i] - columnMeans[j] + grand) ** 2))) / ((n - 1) * (k - 1));
  if (!(between > 0 || within > 0)) return refused('no-spread', 'All ratings are equal, so no share of their spread can be told.');
  if (!(between > 0 || residual > 0))
    return refused('no-spread', 'Every judge rated all subjects alike, so nothing tells one subject from another.');

  return found({
    subjects: n,
    judges: k,
    meanSquares: { between, within, judges, residual },
    oneWay: ofRatio(between, within, n - 1, n * (k - 1), k),
    agreement: ofAgreement(between, judges, residual, n, k),
    consistency: ofRatio(between, residual, n - 1, (n - 1) * (k - 1), k),
    semAgreement: Math.sqrt(Math.max(0, (judges - residual) / n) + residual),
    semConsistency: Math.sqrt(residual),
  });
}

/** Forms 1 and 3, which rest on one ratio of mean squares. */
function ofRatio(between: number, error: number, top: number, bottom: number, k: number): IntraclassForm {
  const ratio = between / error;
  const low = ratio / fisherQuantile(0.025, top, bottom);
  const high = ratio * fisherQuantile(0.025, bottom, top);
  const p = fisherTail(ratio, top, bottom);
  // Written so that an error of nothing gives 1 instead of a division of infinities.
  const single = (f: number) => (f === Number.POSITIVE_INFINITY ? 1 : (f - 1) / (f + k - 1));
  const average = (f: number) => 1 - 1 / f;
  return {
    single: { value: single(ratio), ci95: [single(low), single(high)], p },
    average: { value: average(ratio), ci95: [average(low), average(high)], p },
  };
}

/** Form 2; the interval is Satterthwaite's approximation of Shrout & Fleiss. */
function ofAgreement(between: number, judges: number, residual: number, n: number, k: number): IntraclassForm {
  const value = (between - residual) / (between + (k - 1) * residual + (k * (judges - residual)) / n);
  const p = fisherTail(between / residual, n - 1, (n - 1) * (k - 1));
  const spare = n * (1 + (k - 1) * value) - k * value;
  const part = (k * value * judges) / residual;
  const freedom = residual > 0 ? ((k - 1) * (n - 1) * (part + spare) ** 2) / ((n - 1) * part * part + spare * spare) : k - 1;
  const fLow = fisherQuantile(0.025, n - 1, freedom);
  const fHigh = fisherQuantile(0.025, freedom, n - 1);
  const rest = k * judges + (k * n - k - n) * residual;
  const low = (n * (between - fLow * residual)) / (fLow * rest + n * between);
  const high = (n * (fHigh * between - residual)) / (rest + n * fHigh * between);
  const average = (one: number) => (k * one) / (1 + (k - 1) * one); // Spearman & Brown
  return {
    single: { value, ci95: [low, high], p },
    average: { value: (between - residual) / (between + (judges - residual) / n), ci95: [average(low), average(high)], p },
  };
}
