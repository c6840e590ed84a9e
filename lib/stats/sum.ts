/**
 * Sums and moments that keep their digits.
 *
 * Source  Neumaier, Zeitschrift fuer Angewandte Mathematik und Mechanik 54(1):39-51, 1974,
 *         doi:10.1002/zamm.19740540106; two-pass variance with correction: Chan, Golub & LeVeque,
 *         The American Statistician 37(3):242-247, 1983, doi:10.1080/00031305.1983.10483115.
 */

/** The sum, with what each addition rounded off carried along. 0 for no values. */
export function sum(values: ArrayLike<number>): number {
  let total = 0;
  let lost = 0;
  for (let i = 0; i < values.length; i++) {
    const value = values[i];
    const next = total + value;
    lost += Math.abs(total) >= Math.abs(value) ? total - next + value : value - next + total;
    total = next;
  }
  return total + lost;
}

/** Throws on no values. */
export function mean(values: ArrayLike<number>): number {
  if (values.length === 0) throw new RangeError('mean needs at least 1 value, got 0');
  return sum(values) / values.length;
}

/** Sample variance, divisor n - 1. Throws on fewer than 2 values. */
export function sampleVariance(values: ArrayLike<number>): number {
  if (values.length < 2) throw new RangeError(`sampleVariance needs at least 2 values, got ${values.length}`);
  return sumOfSquaredDeviations(values) / (values.length - 1);
}

/** Sample standard deviation, divisor n - 1. Throws on fewer than 2 values. */
export const sampleDeviation = (values: ArrayLike<number>): number => Math.sqrt(sampleVariance(values));

/** Sum of (x - mean)^2, corrected for the rounding of the mean. */
export function sumOfSquaredDeviations(values: ArrayLike<number>): number {
  const centre = mean(values);
  const squares = new Float64Array(values.length);
  const deviations = new Float64Array(values.length);
  for (let i = 0; i < values.length; i++) {
    deviations[i] = values[i] - centre;
    squares[i] = deviations[i] * deviations[i];
  }
  const drift = sum(deviations);
  return Math.max(0, sum(squares) - (drift * drift) / values.length);
}

/** Root mean square; throws on no values. */
export function rootMeanSquare(values: ArrayLike<number>): number {
  if (values.length === 0) throw new RangeError('rootMeanSquare needs at least 1 value, got 0');
  const squares = new Float64Array(values.length);
  for (let i = 0; i < values.length; i++) squares[i] = values[i] * values[i];
  return Math.sqrt(sum(squares) / values.length);
}
