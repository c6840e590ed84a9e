/**
 * The mean of changes against no change: Student's paired t with its interval.
 *
 * Model   changes of different subjects are independent and normal around one mean. A change is already the after less the before,
 *         so the paired test is that of one sample.
 * Source  Student, Biometrika 6(1):1-25, 1908, doi:10.1093/biomet/6.1.1.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { mean, sampleDeviation } from './sum.ts';
import { studentTwoSided, studentTwoSidedQuantile } from './tails.ts';

export type OneSample = Readonly<{
  n: number;
  mean: number;
  sd: number;
  u: number;
  ci95: readonly [number, number];
  t: number;
  freedom: number;
  p: number;
}>;

/** `changes`: one value a subject. */
export function oneSampleT(changes: ArrayLike<number>): Outcome<OneSample, 'too-few' | 'no-spread'> {
  const n = changes.length;
  if (n < 2) return refused('too-few', `A mean with an interval needs at least 2 subjects, got ${n}.`);
  const centre = mean(changes);
  const sd = sampleDeviation(changes);
  if (!(sd > 0)) return refused('no-spread', `All ${n} values are equal, so nothing says how sure their mean is.`);
  const u = sd / Math.sqrt(n);
  const half = studentTwoSidedQuantile(0.05, n - 1) * u;
  const t = centre / u;
  return found({ n, mean: centre, sd, u, ci95: [centre - half, centre + half], t, freedom: n - 1, p: studentTwoSided(t, n - 1) });
}
