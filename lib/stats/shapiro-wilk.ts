/**
 * Shapiro & Wilk's test of whether values could come from a normal distribution.
 *
 * Model   W is the squared correlation of the ordered values with Royston's approximation of the best weights; its probability by his
 *         normalising transformation, exact for n = 3.
 * Source  Royston, Applied Statistics 44(4):547-551, 1995 (algorithm AS R94), doi:10.2307/2986146.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { normalQuantile, normalTail } from './normal.ts';
import { mean, sumOfSquaredDeviations } from './sum.ts';

export type ShapiroWilk = Readonly<{ n: number; w: number; p: number }>;

const FEWEST = 3;
const MOST = 5000;

export function shapiroWilk(values: ArrayLike<number>): Outcome<ShapiroWilk, 'too-few' | 'too-many' | 'no-spread'> {
  const n = values.length;
  if (n < FEWEST) return refused('too-few', `Normality can be tested from ${FEWEST} values on, got ${n}.`);
  if (n > MOST)
    return refused(
      'too-many',
      `Royston's approximation holds up to ${MOST} values, got ${n}; with so many the test of means does not need it.`,
    );
  const sorted = Float64Array.from(values).sort();
  const squares = sumOfSquaredDeviations(sorted);
  if (!(squares > 0) || sorted[n - 1] - sorted[0] < 1e-19)
    return refused('no-spread', 'All values are equal, so no distribution can be told.');
  const a = weightsOf(n);
  const centre = mean(sorted);
  let along = 0;
  let length = 0;
  for (let i = 0; i < n; i++) {
    const weight = i < a.length ? -a[i] : n - 1 - i < a.length ? a[n - 1 - i] : 0;
    along += weight * (sorted[i] - centre);
    length += weight * weight;
  }
  // 1 - W as a sum of its own, since W may be close to 1.
  const w = Math.min(1, (along * along) / (length * squares));
  return found({ n, w, p: probability(w, n) });
}

/** The upper half of the weights, largest first. */
function weightsOf(n: number): number[] {
  const half = Math.floor(n / 2);
  if (n === 3) return [Math.SQRT1_2];
  const m = Array.from({ length: half }, (_, i) => -normalQuantile((i + 1 - 0.375) / (n + 0.25)));
  const mm = 2 * m.reduce((total, value) => total + value * value, 0);
  const root = Math.sqrt(mm);
  const x = 1 / Math.sqrt(n);
  const first = polynomial([0, 0.221157, -0.147981, -2.07119, 4.434685, -2.706056], x) + m[0] / root;
  if (n <= 5) {
    const left = Math.sqrt((mm - 2 * m[0] ** 2) / (1 - 2 * first ** 2));
    return m.map((value, i) => (i === 0 ? first : value / left));
  }
  const second = polynomial([0, 0.042981, -0.293762, -1.752461, 5.682633, -3.582633], x) + m[1] / root;
  const left = Math.sqrt((mm - 2 * m[0] ** 2 - 2 * m[1] ** 2) / (1 - 2 * first ** 2 - 2 * second ** 2));
  return m.map((value, i) => (i === 0 ? first : i === 1 ? second : value / left));
}

function probability(w: number, n: number): number {
  if (n === 3) return Math.max(0, (6 / Math.PI) * (Math.asin(Math.sqrt(w)) - Math.asin(Math.sqrt(0.75))));
  if (w >= 1) return 1;
  const logLeft = Math.log(1 - w);
  if (n <= 11) {
    const bound = polynomial([-2.273, 0.459], n);
    if (logLeft >= bound) return 1e-19;
    const y = -Math.log(bound - logLeft);
    const centre = polynomial([0.544, -0.39978, 0.025054, -6.714e-4], n);
    return normalTail((y - centre) / Math.exp(polynomial([1.3822, -0.77857, 0.062767, -0.0020322], n)));
  }
  const logN = Math.log(n);
  const centre = polynomial([-1.5861, -0.31082, -0.083751, 0.0038915], logN);
  return normalTail((logLeft - centre) / Math.exp(polynomial([-0.4803, -0.082676, 0.0030302], logN)));
}

/** From the constant term up. */
function polynomial(coefficients: readonly number[], x: number): number {
  let total = 0;
  for (let i = coefficients.length - 1; i >= 0; i--) total = total * x + coefficients[i];
  return total;
}
