/**
 * Weighted least squares of a curve that is not linear in its parameters, by Levenberg and Marquardt's damped Gauss-Newton steps.
 *
 * Model   minimise sum over rows of r_i(p)^2, where a row is already weighted (divided by its standard uncertainty, or whitened by the
 *         Cholesky factor of a covariance). The damping scales with the diagonal of J'J, so units do not matter. A step is
 *         taken only when it wins a fair share of what the linear model promised, so that a leap to where the curve is flat is not.
 * Source  Marquardt, J. Soc. Indust. Appl. Math. 11(2):431-441, 1963, doi:10.1137/0111030;
 *         the growth of the damping after Nielsen,
 *         Damping parameter in Marquardt's method, IMM-REP-1999-05, Technical University of Denmark.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { factorSpd, inverseFactored, solveFactored } from './solve-spd.ts';

/** At parameters p: residuals (rows), observed less fitted, and the derivatives of the fitted curve (rows, parameters), row-major. */
export type CurveRows = (p: Float64Array) => Readonly<{ residuals: ArrayLike<number>; slopes: ArrayLike<number> }>;

export type CurveFit = Readonly<{
  parameters: Float64Array;
  /** (parameters, parameters), row-major: the inverse of J'J. Right as it is when the rows' uncertainties are known. */
  covariance: Float64Array;
  /** Sum of squared rows at the end. */
  squares: number;
  steps: number;
}>;

const MOST_STEPS = 500;
/** A first step well short of Gauss and Newton's, which from a poor start can leap to where the curve is flat. */
const BEGIN_DAMPED = 1;
const LEAST_SHARE = 0.25;
/** A step that changes every parameter by less than this share of itself, or the squares by nothing, is the last. */
const SMALL_STEP = 1e-13;

/** `degenerate` when the rows do not tell the parameters apart at the end; `no-end` when the steps do not settle. */
export function fitCurve(rows: CurveRows, start: ArrayLike<number>): Outcome<CurveFit, 'degenerate' | 'no-end'> {
  const n = start.length;
  let parameters = Float64Array.from(start);
  let now = rows(parameters);
  let squares = sumOfSquares(now.residuals);
  if (!Number.isFinite(squares)) throw new RangeError('the curve must be finite at its starting parameters');
  let damping = BEGIN_DAMPED;
  let growth = 2;

  for (let steps = 1; steps <= MOST_STEPS; steps++) {
    const { matrix, right } = normal(now, n);
    const damped = matrix.slice();
    for (let j = 0; j < n; j++) {
      damped[j * n + j] = matrix[j * n + j]! * (1 + damping) || Number.MIN_VALUE;
    }
    const factor = factorSpd(damped, n);
    const step = factor ? solveFactored(factor, right, n) : null;
    const next = step ? parameters.map((value, j) => value + step[j]!) : null;
    const there = next ? rows(next) : null;
    const thereSquares = there ? sumOfSquares(there.residuals) : Number.NaN;
    const small = step?.every((move, j) => Math.abs(move) <= SMALL_STEP * Math.abs(parameters[j]!)) ?? false;
    const still = thereSquares === squares;
    if (next && there && thereSquares <= squares - LEAST_SHARE * promised(step!, right, matrix)) {
      parameters = next;
      now = there;
      squares = thereSquares;
      damping = Math.max(damping / 3, 1e-15);
      growth = 2;
    } else {
      damping *= growth;
      growth *= 2;
    }
    if (small || still || damping > 1e30) {
      const end = factorSpd(scaled(normal(now, n).matrix, n), n);
      if (!end) return refused('degenerate', 'The observations do not tell the parameters of the curve apart.');
      return found({ parameters, covariance: unscaled(inverseFactored(end, n), normal(now, n).matrix, n), squares, steps });
    }
  }
  return refused('no-end', `The curve did not settle within ${MOST_STEPS} steps.`);
}

/** What the linear model says the step wins: 2 s'g - s'J'J s. */
function promised(step: Float64Array, right: Float64Array, matrix: Float64Array): number {
  const n = step.length;
  let total = 0;
  for (let j = 0; j < n; j++) {
    total += 2 * step[j]! * right[j]!;
    for (let k = 0; k < n; k++) total -= step[j]! * matrix[j * n + k]! * step[k]!;
  }
  return Math.max(0, total);
}

function normal({ residuals, slopes }: ReturnType<CurveRows>, n: number): { matrix: Float64Array; right: Float64Array } {
  const matrix = new Float64Array(n * n);
  const right = new Float64Array(n);
  for (let i = 0; i < residuals.length; i++)
    for (let j = 0; j < n; j++) {
      const slope = slopes[i * n + j]!;
      right[j] += slope * residuals[i]!;
      for (let k = 0; k < n; k++) matrix[j * n + k] += slope * slopes[i * n + k]!;
    }
  return { matrix, right };
}

/** With a diagonal of ones, so that a small unit is not taken for a degenerate one. */
function scaled(matrix: Float64Array, n: number): Float64Array {
  return matrix.map((value, at) => value / Math.sqrt(matrix[Math.floor(at / n) * (n + 1)]! * matrix[(at % n) * (n + 1)]!));
}

function unscaled(inverse: Float64Array, matrix: Float64Array, n: number): Float64Array {
  return scaledBy(
    inverse,
    Float64Array.from({ length: n }, (_, j) => 1 / Math.sqrt(matrix[j * (n + 1)]!)),
  );
}

const scaledBy = (matrix: Float64Array, by: Float64Array): Float64Array =>
  matrix.map((value, at) => value * by[Math.floor(at / by.length)]! * by[at % by.length]!);

function sumOfSquares(values: ArrayLike<number>): number {
  let total = 0;
  for (let i = 0; i < values.length; i++) total += values[i]! * values[i]!;
  return total;
}
