/**
 * Agreement of two methods on the same subjects: bias and limits of agreement.
 *
 * Model   differences d = second - first; limits are bias -+ 1.96 sd(d); the standard error of a limit is
 *         about sqrt(3 / n) sd(d).
 *         Exact intervals of the limits turn the noncentral t of (limit - bias) sqrt(n) / sd.
 * Source  Bland & Altman, Lancet 327(8476):307-310, 1986, doi:10.1016/S0140-6736(86)90837-8; exact intervals: Carkeet, Optometry and
 *         Vision Science 92(3):e71-e80, 2015, doi:10.1097/OPX.0000000000000513.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { fitLine } from './line.ts';
import { noncentralTQuantile } from './noncentral-t.ts';
import { mean, sampleDeviation } from './sum.ts';
import { studentTwoSidedQuantile } from './tails.ts';
import { COVERAGE_95 } from './uncertainty.ts';

export type Agreement = Readonly<{
  n: number;
  bias: number;
  /** Standard deviation of the differences. */
  deviation: number;
  limits: readonly [number, number];
  uBias: number;
  uLimit: number;
  biasCi95: readonly [number, number];
  lowerCi95: readonly [number, number];
  upperCi95: readonly [number, number];
  /** Slope of difference on mean: the bias grows with size when it is far from 0 for its uncertainty. Null when all means are equal. */
  trend: Readonly<{ value: number; u: number }> | null;
}>;

export function limitsOfAgreement(first: ArrayLike<number>, second: ArrayLike<number>): Outcome<Agreement, 'too-few'> {
  if (first.length !== second.length) throw new RangeError(`readings must pair up, got ${first.length} and ${second.length}`);
  const n = first.length;
  if (n < 3) return refused('too-few', `Limits of agreement need at least 3 subjects, got ${n}.`);
  const differences = Float64Array.from(first, (value, i) => second[i] - value);
  const means = Float64Array.from(first, (value, i) => (value + second[i]) / 2);
  const bias = mean(differences);
  const deviation = sampleDeviation(differences);
  const limits: [number, number] = [bias - COVERAGE_95 * deviation, bias + COVERAGE_95 * deviation];
  const uBias = deviation / Math.sqrt(n);
  const uLimit = deviation * Math.sqrt(3 / n);
  const t = studentTwoSidedQuantile(0.05, n - 1);
  const around = (value: number, u: number): [number, number] => [value - t * u, value + t * u];
  const line = fitLine(means, differences);
  return found({
    n,
    bias,
    deviation,
    limits,
    uBias,
    uLimit,
    biasCi95: around(bias, uBias),
    lowerCi95: around(limits[0], uLimit),
    upperCi95: around(limits[1], uLimit),
    trend: line.ok ? { value: line.value.slope, u: line.value.uSlope } : null,
  });
}

/** 95 % intervals of both limits, exact for normal differences: the ends away from the bias lie further out than the approximation has them. */
export function exactLimitIntervals({ n, bias, deviation }: Pick<Agreement, 'n' | 'bias' | 'deviation'>): Readonly<{
  lowerCi95: readonly [number, number];
  upperCi95: readonly [number, number];
}> {
  const root = Math.sqrt(n);
  const [inner, outer] = [0.025, 0.975].map((p) => (deviation * noncentralTQuantile(p, n - 1, COVERAGE_95 * root)) / root);
  return { lowerCi95: [bias - outer, bias - inner], upperCi95: [bias + inner, bias + outer] };
}
