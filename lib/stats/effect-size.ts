/**
 * Effects over their scatter: the standardised mean change of one group and the standardised difference of two.
 *
 * Model   d = mean / sd of the changes (change-score standardisation), or difference of means / pooled sd. Hedges' g takes the small-sample
 *         bias off by the exact gamma factor. The interval of d turns the noncentral t round: the shifts at which the t seen would be
 *         at 97.5 % and at 2.5 %; that of g is the same times the factor.
 * Source  Hedges, Journal of Educational Statistics 6(2):107-128, 1981, doi:10.3102/10769986006002107;
 *         Cumming & Finch, Educational and Psychological Measurement 61(4):532-574, 2001, doi:10.1177/0013164401614002.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { logGamma } from './gamma.ts';
import { noncentralTShift } from './noncentral-t.ts';
import { mean, sampleDeviation, sumOfSquaredDeviations } from './sum.ts';

export type EffectSize = Readonly<{ d: number; dCi95: readonly [number, number]; hedges: number; hedgesCi95: readonly [number, number] }>;

/** `changes`: one value a subject. */
export function standardisedMeanChange(changes: ArrayLike<number>): Outcome<EffectSize, 'too-few' | 'no-spread'> {
  const n = changes.length;
  if (n < 2) return refused('too-few', `A standardised change needs at least 2 subjects, got ${n}.`);
  const sd = sampleDeviation(changes);
  if (!(sd > 0)) return refused('no-spread', 'All changes are equal, so there is no scatter to standardise by.');
  return found(effect(mean(changes) / sd, n - 1, Math.sqrt(n)));
}

/** `second` less `first`, over their pooled standard deviation. */
export function standardisedDifference(first: ArrayLike<number>, second: ArrayLike<number>): Outcome<EffectSize, 'too-few' | 'no-spread'> {
  const [m, n] = [first.length, second.length];
  if (m < 2 || n < 2) return refused('too-few', `A standardised difference needs at least 2 subjects in each group, got ${m} and ${n}.`);
  const pooled = Math.sqrt((sumOfSquaredDeviations(first) + sumOfSquaredDeviations(second)) / (m + n - 2));
  if (!(pooled > 0)) return refused('no-spread', 'All changes within each group are equal, so there is no scatter to standardise by.');
  return found(effect((mean(second) - mean(first)) / pooled, m + n - 2, Math.sqrt((m * n) / (m + n))));
}

/** `root` turns d into t. */
function effect(d: number, freedom: number, root: number): EffectSize {
  const bound = (p: number): number => noncentralTShift(p, d * root, freedom) / root;
  const dCi95: [number, number] = [bound(0.975), bound(0.025)];
  const factor = smallSampleFactor(freedom);
  return { d, dCi95, hedges: factor * d, hedgesCi95: [factor * dCi95[0], factor * dCi95[1]] };
}

/** Gamma(m / 2) / (sqrt(m / 2) Gamma((m - 1) / 2)); with 1 degree of freedom the mean of d does not exist, and the factor is 0. */
export function smallSampleFactor(freedom: number): number {
  return freedom > 1 ? Math.exp(logGamma(freedom / 2) - logGamma((freedom - 1) / 2)) / Math.sqrt(freedom / 2) : 0;
}
