/**
 * Limits of agreement when subjects give several differences each, unequally many.
 *
 * Model   difference = bias + subject + error, both normal. The limits are for one new difference of a new subject. Variance of a
 *         difference: that of the subjects' means plus (1 - 1 / m) times that within subjects, m the harmonic mean of the numbers of differences;
 *         intervals by recovering variance estimates from those of the parts (MOVER).
 * Source  Zou, Statistical Methods in Medical Research 22(6):630-642, 2013, doi:10.1177/0962280211402548; the model is that of
 *         Bland & Altman, Journal of Biopharmaceutical Statistics 17(4):571-582, 2007, doi:10.1080/10543400701329422, for a true value that varies.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { mean, sampleVariance, sum, sumOfSquaredDeviations } from './sum.ts';
import { chiSquareQuantile } from './tails.ts';
import { COVERAGE_95 } from './uncertainty.ts';

export type RepeatedLimits = Readonly<{
  subjects: number;
  differences: number;
  bias: number;
  deviation: number;
  limits: readonly [number, number];
  biasCi95: readonly [number, number];
  lowerCi95: readonly [number, number];
  upperCi95: readonly [number, number];
}>;

/** `subjects`: the differences of each. */
export function repeatedLimits(subjects: readonly ArrayLike<number>[]): Outcome<RepeatedLimits, 'too-few'> {
  const own = subjects.filter((differences) => differences.length > 0);
  const n = own.length;
  if (n < 3) return refused('too-few', `Limits of agreement need at least 3 subjects, got ${n}.`);
  const total = sum(own.map((differences) => differences.length));
  const means = own.map(mean);
  const bias = mean(means);
  const between = sampleVariance(means);
  const freedom = total - n;
  const within = freedom > 0 ? sum(own.map(sumOfSquaredDeviations)) / freedom : 0;
  const part = freedom > 0 ? (1 - mean(own.map((differences) => 1 / differences.length))) * within : 0;
  const variance = between + part;
  const below = (p: number, square: number, df: number): number => (df > 0 ? square * (1 - df / chiSquareQuantile(p, df)) : 0);
  const low = variance - Math.hypot(below(0.025, between, n - 1), below(0.025, part, freedom));
  const high = variance + Math.hypot(below(0.975, between, n - 1), below(0.975, part, freedom));
  const deviation = Math.sqrt(variance);
  const reach = COVERAGE_95 * deviation;
  const ofBias = COVERAGE_95 * Math.sqrt(between / n);
  const inner = Math.hypot(ofBias, COVERAGE_95 * (deviation - Math.sqrt(Math.max(0, low))));
  const outer = Math.hypot(ofBias, COVERAGE_95 * (Math.sqrt(high) - deviation));
  return found({
    subjects: n,
    differences: total,
    bias,
    deviation,
    limits: [bias - reach, bias + reach],
    biasCi95: [bias - ofBias, bias + ofBias],
    lowerCi95: [bias - reach - outer, bias - reach + inner],
    upperCi95: [bias + reach - inner, bias + reach + outer],
  });
}
