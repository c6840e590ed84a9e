/**
 * The linear Bayesian fit of displacement.ts: rows of observation become a field, its error, and what the pair tells of its own noise.
 *
 * Frame   unknowns are the field's bumps, which all views share, and what each view has of its own: light, misfit, rigid error, expression.
 * Model   Gaussian priors and Student-t noise; the widths of misfit, expression, displacement and noise are updated from round to round.
 * Source  MacKay, Neural Computation 4(3):415-447, 1992; Lange, Little & Taylor, JASA 84(408):881-896, 1989; Aitken, Proc. R. Soc. Edinb.
 *         55:42-48, 1935 (generalised least squares, for `pattern`).
 */
import { type ArrowFactor, blockVariances, factorArrow, solveArrow } from '#lib/stats/solve-arrow.ts';
import { covarianceOf } from '#lib/stats/solve-several.ts';
import { factorSpd, solveFactored } from '#lib/stats/solve-spd.ts';
import { addNormal, type SparseRows, timesRows, weightedRight } from '#lib/stats/sparse-rows.ts';
import type { DisplacementParameters } from './displacement-parameters.ts';
import { nextPrior, type PriorShape, restPrecision, startingPrior } from './field-prior.ts';

export type FieldFit = Readonly<{
  /** (bumps) mm */
  bumpsMm: Float64Array;
  /** Standard deviation of each view's misfit, natural log units. */
  misfit: readonly number[];
  noise: number;
  /** Standard deviation of each view's expression, mm. */
  expressionMm: readonly number[];
  /** Value and standard uncertainty of a linear functional `w` (bumps). */
  functional: (w: Float64Array) => { value: number; u: number };
  /** Values (m) and covariance (m, m) of several functionals together. */
  functionals: (ws: readonly Float64Array[]) => { values: number[]; covariance: Float64Array };
  /** How much of the pattern `w` (bumps, mm) the pair shows on a face that is else at rest, and its standard uncertainty. */
  pattern: (w: Float64Array) => { value: number; u: number };
}>;

/** What one view observes; in `rows` the bumps come first, then the view's own unknowns. */
export type Observed = Readonly<{ rows: SparseRows; y: Float64Array; trust: Float64Array }>;

/** The unknowns of a view's own: prior widths of the light, which comes first, and from where to where the misfit and expression stand. */
export type OwnUnknowns = Readonly<{
  lightSd: Float64Array;
  misfit: readonly [first: number, end: number];
  expression: readonly [first: number, end: number];
}>;

/** Where the noise starts, natural log units: a careless pair's. */
const NOISE_START = 0.02;
const SHIFT_NOISE_START_MM = 0.1;

export function fitField(
  shading: readonly Observed[],
  shifts: readonly Observed[],
  { lightSd, misfit: [firstMisfit, endMisfit], expression: [firstExpression, own] }: OwnUnknowns,
  shape: PriorShape,
  p: DisplacementParameters,
): FieldFit {
  const { bumps } = shape;
  let prior = startingPrior(shape, p);
  let misfit = shading.map(() => p.misfitStart);
  let expression = shading.map(() => p.expressionStart);
  let light: Weighted = { noise: NOISE_START, weights: shading.map(({ trust }) => trust) };
  let shift: Weighted = { noise: SHIFT_NOISE_START_MM, weights: shifts.map(({ trust }) => trust) };
  for (let round = 1; ; round++) {
    const seen = shading.map((_, v) =>
      observed(bumps + own, [
        { ...shading[v], weights: light.weights[v], variance: light.noise ** 2 * (p.cellsPerSample / p.thinning) },
        { ...shifts[v], weights: shift.weights[v], variance: shift.noise ** 2 * p.shiftsPerSample },
      ]),
    );
    seen.forEach(({ matrix }, v) => {
      for (let i = 0; i < own; i++) {
        const sd = i < firstMisfit ? lightSd[i] : i < endMisfit ? misfit[v] : i < firstExpression ? p.rigidChangeMm : expression[v];
        matrix[(bumps + i) * (bumps + own + 1)] += 1 / sd ** 2;
      }
    });
    const factor = factorArrow(
      seen.map(({ matrix }) => matrix),
      prior.precision,
      bumps,
    );
    if (!factor) throw new RangeError('the displacement system is not positive definite'); // every unknown has a prior: only NaN gets here
    const shared = new Float64Array(bumps);
    for (const { right } of seen) for (let j = 0; j < bumps; j++) shared[j] += right[j];
    const x = solveArrow(
      factor,
      shared,
      seen.map(({ right }) => right.subarray(bumps)),
    );
    if (round === p.rounds)
      return {
        bumpsMm: x.border.map((d) => p.gain * d),
        misfit,
        noise: light.noise,
        expressionMm: expression,
        ...readers(factor, x.border, p.gain),
        pattern: patternReader(factor, x.border, prior.precision, restPrecision(shape, p), p.gain),
      };

    const variances = blockVariances(factor, firstMisfit);
    misfit = x.blocks.map((values, v) => evidenceSd(values, variances[v], firstMisfit, endMisfit, misfit[v], p.misfitLeast));
    expression = x.blocks.map((values, v) => evidenceSd(values, variances[v], firstExpression, own, expression[v], p.expressionLeast));
    prior = nextPrior(shape, prior, x.border, factor.tail, p);
    const whole = x.blocks.map((values) => Float64Array.of(...x.border, ...values));
    light = reweighed(shading, whole, light, p.noiseLeast, p.tail);
    shift = reweighed(shifts, whole, shift, p.shiftNoiseLeastMm, p.tail);
  }
}

type Weighted = Readonly<{ noise: number; weights: readonly Float64Array[] }>;

/** What one view observes, as a lower triangle (size, size) and right side; each row counts by its weight over `variance`. */
function observed(
  size: number,
  kinds: readonly (Omit<Observed, 'trust'> & { weights: Float64Array; variance: number })[],
): { matrix: Float64Array; right: Float64Array } {
  const matrix = new Float64Array(size * size);
  const right = new Float64Array(size);
  for (const { rows, y, weights, variance } of kinds) {
    const w = weights.map((weight) => weight / variance);
    addNormal(matrix, size, rows, w);
    weightedRight(size, rows, w, y).forEach((value, i) => {
      right[i] += value;
    });
  }
  return { matrix, right };
}

/** MacKay's update for the unknowns from `first` up to `end`: energy over the degrees of freedom that the data determine. */
function evidenceSd(x: Float64Array, variance: Float64Array, first: number, end: number, before: number, least: number): number {
  let [energy, free] = [0, 0];
  for (let q = first; q < end; q++) {
    energy += x[q] * x[q];
    free += 1 - variance[q] / before ** 2;
  }
  return Math.max(least, Math.sqrt(energy / Math.max(1, free)));
}

/** Noise from the residuals, and Student-t weights for it. `x` holds the unknowns of each view. */
function reweighed(
  views: readonly Observed[],
  x: readonly Float64Array[],
  { weights }: Weighted,
  noiseLeast: number,
  tail: number,
): Weighted {
  const residuals = views.map(({ rows, y }, v) => {
    const fitted = timesRows(rows, x[v]);
    return y.map((value, i) => value - fitted[i]);
  });
  let sum = 0;
  let total = 0;
  residuals.forEach((r, v) => {
    r.forEach((e, i) => {
      sum += weights[v][i] * e * e;
      total += views[v].trust[i];
    });
  });
  const noise = Math.max(noiseLeast, Math.sqrt(sum / Math.max(1, total)));
  return { noise, weights: residuals.map((r, v) => r.map((e, i) => (views[v].trust[i] * (tail + 1)) / (tail + (e / noise) ** 2))) };
}

function readers({ tail, border }: ArrowFactor, x: Float64Array, gain: number): Pick<FieldFit, 'functional' | 'functionals'> {
  const functionals = (ws: readonly Float64Array[]) => {
    const values = ws.map((w) => gain * w.reduce((sum, weight, j) => sum + weight * x[j], 0));
    return { values, covariance: covarianceOf(tail, ws, border).map((c) => gain * gain * c) };
  };
  return {
    functionals,
    functional(w) {
      const { values, covariance } = functionals([w]);
      return { value: values[0], u: Math.sqrt(Math.max(0, covariance[0])) };
    },
  };
}

/**
 * One more unknown, the height a of a pattern w on a face that is believed to be at rest: d = b + a w. With B the posterior precision of b at
 * rest, R its prior's, and b0 = B^-1 r, the generalised least squares of a is w'R b0 over w'R w - w'R B^-1 R w, and its variance one over that.
 */
function patternReader(
  { rest, border }: ArrowFactor,
  x: Float64Array,
  prior: Float64Array,
  resting: Float64Array,
  gain: number,
): FieldFit['pattern'] {
  const atRest = () => {
    // S x is what the data say on the right; S less the prior is what they say on the left.
    const right = new Float64Array(border);
    const left = new Float64Array(border * border);
    for (let i = 0; i < border; i++)
      for (let j = 0, at = i * border; j <= i; j++, at++) {
        left[at] = rest[at] - prior[at] + (i === j ? resting[i] : 0);
        right[i] += rest[at] * x[j];
        if (j < i) right[j] += rest[at] * x[i];
      }
    const factor = factorSpd(left, border);
    if (!factor) throw new RangeError('the displacement at rest is not positive definite');
    return { factor, field: solveFactored(factor, right, border) };
  };
  let kept: ReturnType<typeof atRest> | null = null;
  return (w) => {
    kept ??= atRest();
    const { factor, field } = kept;
    const scaled = w.map((weight, j) => weight * resting[j]);
    const score = scaled.reduce((sum, s, j) => sum + s * field[j], 0);
    const information = scaled.reduce((sum, s, j) => sum + s * w[j], 0) - covarianceOf(factor, [scaled], border)[0];
    return { value: (gain * score) / information, u: gain / Math.sqrt(information) };
  };
}
