/**
 * Linear least squares, plain or robust, with weights and a prior.
 *
 * Model   y = X b + noise; robust losses by iteratively reweighted least squares, the scale of the noise re-estimated in
 *         every step as the median absolute residual over 0.6745.
 *         Without a prior the covariance is that of Huber's book for his first form: the effective noise variance
 *         K^2 (sum psi^2 / (n - p)) / (mean psi')^2 times the inverse of X'WX, K = 1 + (p / n) var(psi') / (mean psi')^2.
 *         With a prior the same effective noise enters the posterior (X'WX / noise^2 + precision)^-1.
 * Source  Huber & Ronchetti, Robust Statistics, 2nd ed., Wiley 2009, chapter 7;
 *         Holland & Welsch, Communications in Statistics A6(9):813-827, 1977, doi:10.1080/03610927708827533.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { checkProblem, type LinearProblem, residualsOf, solveWeighted } from './linear-problem.ts';
import { columnsOf } from './normal-equations.ts';
import { median, NORMAL_FROM_MAD } from './quantile.ts';
import { type RobustLoss, SQUARES } from './robust-loss.ts';

export type LinearFit = Readonly<{
  /** (columns) */
  coefficients: Float64Array;
  /** (columns, columns), row-major; the square roots of its diagonal are the standard uncertainties. */
  covariance: Float64Array;
  /** (rows): observed less fitted. */
  residuals: Float64Array;
  /** (rows), 0..1: what the loss left of each row; all 1 for plain squares. */
  kept: Float64Array;
  /** Scale of the noise of a row of weight 1 as the losses saw it; for plain squares the residual standard deviation. */
  noise: number;
  steps: number;
  converged: boolean;
}>;

export type LinearFitOptions = Readonly<{
  loss?: RobustLoss;
  /** Take this as the scale of the noise of a row of weight 1 instead of estimating it. */
  noise?: number;
  maxSteps?: number;
  /** Ends when no fitted value moves by more than this share of the noise. */
  tolerance?: number;
}>;

export function fitLinear(problem: LinearProblem, options: LinearFitOptions = {}): Outcome<LinearFit, 'too-few' | 'degenerate'> {
  checkProblem(problem);
  const { rows, columns, weights, prior } = problem;
  const { loss = SQUARES, maxSteps = 50, tolerance = 1e-6 } = options;
  if (options.noise !== undefined && !(options.noise > 0)) throw new RangeError(`noise must be above 0, got ${options.noise}`);
  const counted = weights === undefined ? rows : Array.from(weights).filter((w) => w > 0).length;
  if (counted <= columns && !(prior && options.noise !== undefined && counted > 0))
    return refused(
      'too-few',
      `${counted} measurements cannot settle ${columns} unknowns and their noise; at least ${columns + 1} are needed.`,
    );

  const base = weights === undefined ? new Float64Array(rows).fill(1) : Float64Array.from(weights);
  const laid = columnsOf(problem.design, rows, columns);
  const degenerate = refused('degenerate', `The measurements do not tell the ${columns} unknowns of the model apart.`);

  const begin = solveWeighted(problem, laid, base, options.noise ?? roughNoise(problem, base));
  if (!begin) return degenerate;
  let solution = begin;
  let residuals = residualsOf(problem, laid, solution.coefficients);
  let noise = options.noise ?? spreadOf(residuals, base, loss, counted - columns);
  const kept = new Float64Array(rows).fill(1);
  let steps = 0;
  // Plain squares without a prior are done at once: the noise scales nothing.
  let converged = loss.name === 'squares' && (!prior || options.noise !== undefined);

  while (!converged && steps < maxSteps && noise > 0) {
    for (let i = 0; i < rows; i++) kept[i] = base[i] > 0 ? loss.weight((residuals[i] * Math.sqrt(base[i])) / noise) : 0;
    const next = solveWeighted(
      problem,
      laid,
      base.map((w, i) => w * kept[i]),
      noise,
    );
    if (!next) return degenerate;
    steps++;
    converged = moved(solution.coefficients, next.coefficients, problem, noise) < tolerance;
    solution = next;
    residuals = residualsOf(problem, laid, solution.coefficients);
    noise = options.noise ?? spreadOf(residuals, base, loss, counted - columns);
  }
  const effective = noise > 0 ? effectiveNoise(residuals, base, loss, noise, counted, columns) : 0;
  // A fit without any residual has no scatter to learn its uncertainty from: it is zero then, as for plain squares.
  const last = effective > 0 ? solveWeighted(problem, laid, base, effective) : null;
  if (effective > 0 && !last) return degenerate;
  const covariance = last ? last.covariance() : new Float64Array(columns * columns);
  return found({ coefficients: solution.coefficients, covariance, residuals, kept, noise, steps, converged: converged || noise === 0 });
}

/** Before anything is fitted, the spread of what was observed stands for the noise; it only weighs the prior. */
function roughNoise({ observed, rows }: LinearProblem, base: Float64Array): number {
  let total = 0;
  let weight = 0;
  for (let i = 0; i < rows; i++) {
    total += base[i] * observed[i] * observed[i];
    weight += base[i];
  }
  return total > 0 ? Math.sqrt(total / weight) : 1;
}

function spreadOf(residuals: Float64Array, base: Float64Array, loss: RobustLoss, freedom: number): number {
  const standard = residuals.map((r, i) => r * Math.sqrt(base[i])).filter((_, i) => base[i] > 0);
  if (loss.name === 'squares') return Math.sqrt(standard.reduce((total, r) => total + r * r, 0) / Math.max(1, freedom));
  return NORMAL_FROM_MAD * median(standard.map(Math.abs));
}

/** Huber's first form: the noise that would give plain squares the scatter that this fit has. */
function effectiveNoise(residuals: Float64Array, base: Float64Array, loss: RobustLoss, noise: number, n: number, p: number): number {
  if (loss.name === 'squares') return noise;
  let psiSquares = 0;
  let slopes = 0;
  let slopeSquares = 0;
  for (let i = 0; i < residuals.length; i++) {
    if (!(base[i] > 0)) continue;
    const t = (residuals[i] * Math.sqrt(base[i])) / noise;
    const psi = t * loss.weight(t);
    const slope = loss.slope(t);
    psiSquares += psi * psi;
    slopes += slope;
    slopeSquares += slope * slope;
  }
  const meanSlope = slopes / n;
  if (!(meanSlope > 0)) return Number.POSITIVE_INFINITY;
  const correction = 1 + ((p / n) * (slopeSquares / n - meanSlope * meanSlope)) / (meanSlope * meanSlope);
  return (noise * correction * Math.sqrt(psiSquares / Math.max(1, n - p))) / meanSlope;
}

/** The largest move of a fitted value, over the noise. */
function moved(from: Float64Array, to: Float64Array, { design, rows, columns }: LinearProblem, noise: number): number {
  let largest = 0;
  for (let i = 0; i < rows; i++) {
    let change = 0;
    for (let j = 0; j < columns; j++) change += design[i * columns + j] * (to[j] - from[j]);
    largest = Math.max(largest, Math.abs(change));
  }
  return largest / noise;
}
