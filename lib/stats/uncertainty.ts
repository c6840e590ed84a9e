/**
 * Uncertainty carried from inputs to results.
 *
 * Model   first order: the covariance of y = f(x) is J C J', with J by central differences of one standard uncertainty,
 *         so that J is the slope over the range in which x is believed to lie.
 * Source  JCGM 100:2008 (GUM), 5.1 and 5.2; annex H.2 for results that share inputs; annex G.4 for degrees of freedom.
 */
import type { Quantity } from '#shared/comparison.ts';
import { normalQuantile } from './normal.ts';
import { mean, sum } from './sum.ts';
import { studentTwoSidedQuantile } from './tails.ts';

/** 1.959964: the half-width of a 95 % interval over the standard uncertainty, when that is well known. */
export const COVERAGE_95 = normalQuantile(0.975);

/** A value with its standard uncertainty and 95 % interval; Student's when the degrees of freedom of `u` are given. */
export function quantity(value: number, u: number, freedom?: number): Quantity {
  if (!(u >= 0)) throw new RangeError(`a standard uncertainty must be at least 0, got ${u}`);
  const half = (freedom === undefined ? COVERAGE_95 : studentTwoSidedQuantile(0.05, freedom)) * u;
  return { value, u, ci95: [value - half, value + half] };
}

/** Independent contributions to one result. */
export const quadrature = (...contributions: readonly number[]): number => Math.hypot(...contributions);

export type Propagated = Readonly<{
  /** (m) */
  values: Float64Array;
  /** (m, m), row-major */
  covariance: Float64Array;
}>;

/** `covariance` is (n, n), row-major, of the n inputs at `values`; `f` gives m results and must not keep its argument. */
export function propagate(f: (x: Float64Array) => ArrayLike<number>, values: ArrayLike<number>, covariance: ArrayLike<number>): Propagated {
  const n = values.length;
  if (covariance.length !== n * n) throw new RangeError(`covariance must have ${n * n} entries, got ${covariance.length}`);
  const at = Float64Array.from(values);
  const centre = Float64Array.from(f(at.slice()));
  const m = centre.length;
  const jacobian = new Float64Array(m * n);
  for (let j = 0; j < n; j++) {
    const step = Math.sqrt(covariance[j * n + j]);
    if (step === 0) continue; // known exactly: it adds nothing
    const up = at.slice();
    const down = at.slice();
    up[j] += step;
    down[j] -= step;
    const high = f(up);
    const low = f(down);
    for (let i = 0; i < m; i++) jacobian[i * n + j] = (high[i] - low[i]) / (up[j] - down[j]);
  }
  return { values: centre, covariance: sandwich(jacobian, covariance, m, n) };
}

/** Standard uncertainty of sum(sensitivity x input). */
export function combined(sensitivities: ArrayLike<number>, covariance: ArrayLike<number>): number {
  return Math.sqrt(Math.max(0, sandwich(sensitivities, covariance, 1, sensitivities.length)[0]));
}

/** J C J': (m, n) with (n, n) to (m, m). */
export function sandwich(jacobian: ArrayLike<number>, covariance: ArrayLike<number>, m: number, n: number): Float64Array {
  if (jacobian.length !== m * n || covariance.length !== n * n)
    throw new RangeError(`expected (${m}, ${n}) and (${n}, ${n}), got lengths ${jacobian.length} and ${covariance.length}`);
  const half = new Float64Array(m * n);
  for (let i = 0; i < m; i++)
    for (let k = 0; k < n; k++) {
      const slope = jacobian[i * n + k];
      if (slope !== 0) for (let j = 0; j < n; j++) half[i * n + j] += slope * covariance[k * n + j];
    }
  const result = new Float64Array(m * m);
  for (let i = 0; i < m; i++)
    for (let j = 0; j < m; j++) {
      let total = 0;
      for (let k = 0; k < n; k++) total += half[i * n + k] * jacobian[j * n + k];
      result[i * m + j] = total;
    }
  return result;
}

/** Means of n quantities read together k times, and the (n, n) covariance of those means: GUM 5.2.3. `readings` is n rows of k. */
export function meansTogether(readings: readonly ArrayLike<number>[]): Propagated {
  const n = readings.length;
  const times = readings[0]?.length ?? 0;
  if (times < 2 || readings.some((row) => row.length !== times))
    throw new RangeError('every quantity must be read equally often, at least 2 times');
  const values = Float64Array.from(readings, mean);
  const covariance = new Float64Array(n * n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) {
      const products = Float64Array.from({ length: times }, (_, k) => (readings[i][k] - values[i]) * (readings[j][k] - values[j]));
      covariance[i * n + j] = sum(products) / (times * (times - 1));
    }
  return { values, covariance };
}

/** Correlation of results i and j of an (n, n) covariance. */
export const correlation = (covariance: ArrayLike<number>, n: number, i: number, j: number): number =>
  covariance[i * n + j] / Math.sqrt(covariance[i * n + i] * covariance[j * n + j]);

/** Effective degrees of freedom of independent contributions (Welch & Satterthwaite, GUM G.2b); Infinity for those well known. */
export function effectiveFreedom(contributions: readonly Readonly<{ u: number; freedom: number }>[]): number {
  const total = contributions.reduce((all, { u }) => all + u * u, 0);
  return (total * total) / contributions.reduce((all, { u, freedom }) => all + u ** 4 / freedom, 0);
}
