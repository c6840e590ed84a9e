/**
 * A linear model y = X b + noise with weights and a prior, and its weighted solution: the step that plain and robust fits share.
 *
 * Model   minimises sum w (y - X b)^2 / noise^2 + sum precision (b - mean)^2. Columns are scaled to one length before
 *         they are factored, and the answer is refined once from its residuals, which restores the digits that the
 *         normal equations cost.
 * Source  Bjorck, Numerical Methods for Least Squares Problems, SIAM 1996, sections 2.3 and 2.9.
 */
import { type NormalEquations, normalEquations } from './normal-equations.ts';
import { factorSpd, inverseFactored, solveFactored } from './solve-spd.ts';

export type LinearProblem = Readonly<{
  rows: number;
  columns: number;
  /** (rows, columns), row-major. */
  design: ArrayLike<number>;
  /** (rows) */
  observed: ArrayLike<number>;
  /** (rows), at least 0: how much each row counts, 1 / variance up to a common factor. All 1 when left out. */
  weights?: ArrayLike<number>;
  /** What is known of the coefficients beforehand: (columns) of 1 / variance, 0 where nothing is, and (columns) of means, 0 when left out. */
  prior?: Readonly<{ precision: ArrayLike<number>; mean?: ArrayLike<number> }>;
}>;

export type WeightedSolution = Readonly<{
  /** (columns) */
  coefficients: Float64Array;
  /** (columns, columns): the inverse of X'WX / noise^2 + precision. */
  covariance: () => Float64Array;
}>;

/** Throws RangeError on shapes that do not fit together or values that are not finite. */
export function checkProblem({ rows, columns, design, observed, weights, prior }: LinearProblem): void {
  const checks: [string, ArrayLike<number> | undefined, number][] = [
    ['design', design, rows * columns],
    ['observed', observed, rows],
    ['weights', weights, rows],
    ['prior.precision', prior?.precision, columns],
    ['prior.mean', prior?.mean, columns],
  ];
  for (const [name, values, length] of checks) {
    if (values === undefined) continue;
    if (values.length !== length) throw new RangeError(`${name} must have ${length} entries, got ${values.length}`);
    const counts = name === 'weights' || name === 'prior.precision';
    for (let i = 0; i < length; i++)
      if (!Number.isFinite(values[i]) || (counts && values[i] < 0))
        throw new RangeError(
          `${name}[${i}] must be finite${counts ? ' and at least 0' : ''}, got ${values[i]}; leave out what was not measured`,
        );
  }
}

/** One weighted solution; null when the columns do not determine the coefficients. `laid` is from `columnsOf`. */
export function solveWeighted(problem: LinearProblem, laid: Float64Array, weights: Float64Array, noise: number): WeightedSolution | null {
  const { rows, columns, observed, prior } = problem;
  const { matrix, right } = normalEquations(laid, observed, weights, rows, columns);
  const perUnit = 1 / (noise * noise);
  const scale = new Float64Array(columns);
  for (let i = 0; i < columns; i++) scale[i] = 1 / Math.sqrt(matrix[i * columns + i] * perUnit + (prior?.precision[i] ?? 0));
  if (!scale.every(Number.isFinite)) return null;

  const scaled = new Float64Array(columns * columns);
  for (let i = 0; i < columns; i++)
    for (let j = 0; j <= i; j++)
      scaled[i * columns + j] = (matrix[i * columns + j] * perUnit + (i === j ? (prior?.precision[i] ?? 0) : 0)) * scale[i] * scale[j];
  const factor = factorSpd(scaled, columns);
  if (!factor) return null;

  const step = (gradient: Float64Array): Float64Array =>
    solveFactored(
      factor,
      gradient.map((g, i) => g * scale[i]),
      columns,
    ).map((value, i) => value * scale[i]);
  const gradientAt = (b: Float64Array, data: NormalEquations['right']): Float64Array =>
    data.map((value, i) => value * perUnit + (prior?.precision[i] ?? 0) * ((prior?.mean?.[i] ?? 0) - b[i]));

  const first = step(gradientAt(new Float64Array(columns), right));
  const left = residualsOf(problem, laid, first);
  const refined = step(gradientAt(first, crossProduct(laid, left, weights, rows, columns)));
  const coefficients = first.map((value, i) => value + refined[i]);
  const covariance = (): Float64Array => {
    const inverse = inverseFactored(factor, columns);
    for (let i = 0; i < columns; i++) for (let j = 0; j < columns; j++) inverse[i * columns + j] *= scale[i] * scale[j];
    return inverse;
  };
  return { coefficients, covariance };
}

/** (rows): y - X b. */
export function residualsOf({ rows, columns, observed }: LinearProblem, laid: Float64Array, coefficients: Float64Array): Float64Array {
  const residuals = Float64Array.from(observed);
  for (let j = 0; j < columns; j++) {
    const b = coefficients[j];
    for (let i = 0, at = j * rows; i < rows; i++, at++) residuals[i] -= laid[at] * b;
  }
  return residuals;
}

/** (columns): X'W r. */
function crossProduct(laid: Float64Array, r: Float64Array, weights: Float64Array, rows: number, columns: number): Float64Array {
  const result = new Float64Array(columns);
  for (let j = 0; j < columns; j++) {
    let total = 0;
    for (let i = 0, at = j * rows; i < rows; i++, at++) total += laid[at] * weights[i] * r[i];
    result[j] = total;
  }
  return result;
}
