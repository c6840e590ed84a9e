/**
 * The displacement field: where and how far the skin moved along its normal, from its shading and from the shift of its texture.
 *
 * Model   for every skin cell of every view
 *           log(after / before) = light terms + g . (-grad d) + q + noise
 *         and for places of every view, in both directions of the picture,
 *           texture shift = d (n_x, n_y) + rigid error + expression + noise                         (shift-rows.ts)
 *         g is the gradient of log irradiance (shading.ts); d the bumps of bumps.ts; the light terms changes of the lamps' powers, seen
 *         or hidden as the face's relief has it; q a smooth misfit of the light model with bumps of its own; noise Student-t.
 *         All are estimated in one linear Bayesian fit. What the pair itself tells: the size of q, of the noise, and of the displacement
 *         in each zone. A zone that shows no change is held near rest, one that does is set free; so a loss is not spread
 *         over its neighbours with the opposite sign, as one prior for all of the face would have it.
 * Why     fitting the light first and integrating what is left smears along the lines of equal shading; together, each
 *         explanation takes only what it explains better.
 * Error   posterior covariance. It is also what a test of no change divides by: the scatter of the estimate alone would be smaller,
 *         because the prior holds it, but then an interval could reach across zero and the test still call it a change.
 * Source  MacKay, Neural Computation 4(3):415-447, 1992 (evidence updates of variances); Tipping, JMLR 1:211-244, 2001 (a prior
 *         width for each part, from the data); Lange, Little & Taylor, JASA 84(408):881-896, 1989 (Student-t by reweighting).
 */

import { carrySmoothly } from '#lib/align/fine-surface.ts';
import { canonicalMesh } from '#lib/face/canonical-mesh.ts';
import type { RelitPair } from '#lib/light/relight.ts';
import { coloursApart, inverseDiagonal } from '#lib/stats/inverse-diagonal.ts';
import { covarianceOf } from '#lib/stats/solve-several.ts';
import { factorSpd, solveFactored } from '#lib/stats/solve-spd.ts';
import { addNormal, type SparseRows, timesRows, weightedRight } from '#lib/stats/sparse-rows.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import { type BumpSet, bumpSet, fineZones } from './bumps.ts';
import { DISPLACEMENT_PARAMETERS, type DisplacementParameters } from './displacement-parameters.ts';
import { lightPriorSd, VIEW_LIGHT_TERMS, viewRows } from './displacement-rows.ts';
import { RIGID_TERMS, shiftRows, shiftUnknowns } from './shift-rows.ts';

export type DisplacementFit = Readonly<{
  set: BumpSet;
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
  /** Per view, per cell, 0..1: how far the light model explains the cell and how much of it was seen. */
  trust: readonly Float64Array[];
}>;

/** Bumps farther apart than so many spacings err independently (checked against the full inverse in the tests). */
const SPACINGS_APART = 5;
/** Where the noise starts, natural log units: a careless pair's. */
const NOISE_START = 0.02;
const SHIFT_NOISE_START_MM = 0.1;

export function fitDisplacement(
  views: readonly RelitPair[],
  references: readonly ZoneId[],
  p: DisplacementParameters = DISPLACEMENT_PARAMETERS,
): DisplacementFit {
  const set = bumpSet(p.spacingMm, p.sigmaMm);
  const misfitSet = bumpSet(p.misfitSpacingMm, p.misfitSigmaMm);
  const expressionSet = bumpSet(p.expressionSpacingMm, p.expressionSigmaMm);
  const bumps = set.centres.length;
  const parts = misfitSet.centres.length;
  const moves = shiftUnknowns(expressionSet);
  // Order: bumps, the light of every view, the misfit of every view, the rigid error and expression of every view.
  const firstMisfit = bumps + views.length * VIEW_LIGHT_TERMS;
  const firstMove = firstMisfit + views.length * parts;
  const size = firstMove + views.length * moves;
  const shading = views.map((view, v) => viewRows(view, set, misfitSet, bumps + v * VIEW_LIGHT_TERMS, firstMisfit + v * parts, p));
  const shifts = views.map((view, v) => shiftRows(view, set, expressionSet, firstMove + v * moves));
  const colours = coloursOf(
    [
      { set, spacingMm: p.spacingMm, firsts: [0] },
      { set: misfitSet, spacingMm: p.misfitSpacingMm, firsts: views.map((_, v) => firstMisfit + v * parts) },
      {
        set: expressionSet,
        spacingMm: p.expressionSpacingMm,
        firsts: views.flatMap((_, v) => [0, 1].map((axis) => firstMove + v * moves + RIGID_TERMS + axis * expressionSet.centres.length)),
      },
    ],
    size,
  );
  const lightSd = lightPriorSd(p);

  const zone = Int8Array.from(set.centres, (c) => fineZones()[c]);
  const held = Array.from(zone, (z) => references.includes(ZONE_IDS[z]));
  let priorSd = Float64Array.from(held, (is) => (is ? p.referencePriorMm : p.priorMm));
  let misfit = views.map(() => p.misfitStart);
  let expression = views.map(() => p.expressionStart);
  let light: Weighted = { noise: NOISE_START, weights: shading.map(({ trust }) => trust) };
  let shift: Weighted = { noise: SHIFT_NOISE_START_MM, weights: shifts.map(({ trust }) => trust) };
  let x: Float64Array = new Float64Array(size);
  let factor: Float64Array = new Float64Array(0);
  for (let round = 0; round < p.rounds; round++) {
    const matrix = new Float64Array(size * size);
    const right = new Float64Array(size);
    addObservations(matrix, right, size, shading, light, p.cellsPerSample / p.thinning);
    addObservations(matrix, right, size, shifts, shift, p.shiftsPerSample);
    const hold = (i: number, sd: number): void => {
      matrix[i * (size + 1)] += 1 / sd ** 2;
    };
    for (let j = 0; j < bumps; j++) hold(j, priorSd[j]);
    views.forEach((_, v) => {
      lightSd.forEach((sd, a) => hold(bumps + v * VIEW_LIGHT_TERMS + a, sd));
      for (let q = 0; q < parts; q++) hold(firstMisfit + v * parts + q, misfit[v]);
      for (let m = 0; m < moves; m++) hold(firstMove + v * moves + m, m < RIGID_TERMS ? p.rigidChangeMm : expression[v]);
    });
    factor = factorOf(matrix, size);
    x = solveFactored(factor, right, size);
    if (round === p.rounds - 1) break;

    const variance = inverseDiagonal(factor, size, colours);
    misfit = views.map((_, v) => evidenceSd(x, variance, firstMisfit + v * parts, parts, misfit[v], p.misfitLeast));
    expression = views.map((_, v) =>
      evidenceSd(x, variance, firstMove + v * moves + RIGID_TERMS, moves - RIGID_TERMS, expression[v], p.expressionLeast),
    );
    priorSd = zonePriorSd(x, variance, zone, held, priorSd, p);
    light = reweighed(shading, x, light, p.noiseLeast, p.tail);
    shift = reweighed(shifts, x, shift, p.shiftNoiseLeastMm, p.tail);
  }
  return {
    set,
    bumpsMm: x.slice(0, bumps).map((d) => p.gain * d),
    misfit,
    noise: light.noise,
    expressionMm: expression,
    trust: shading.map(({ cellTrust }) => cellTrust),
    ...readers(factor, x, size, bumps, p.gain),
  };
}

type Observed = Readonly<{ rows: SparseRows; y: Float64Array; trust: Float64Array }>;
type Weighted = Readonly<{ noise: number; weights: readonly Float64Array[] }>;

/** Adds what the views observe, each row by its weight over the noise's variance, one in `perSample` counting. */
function addObservations(
  matrix: Float64Array,
  right: Float64Array,
  size: number,
  views: readonly Observed[],
  { noise, weights }: Weighted,
  perSample: number,
): void {
  views.forEach(({ rows, y }, v) => {
    const w = weights[v].map((weight) => weight / (noise * noise * perSample));
    addNormal(matrix, size, rows, w);
    weightedRight(size, rows, w, y).forEach((value, i) => {
      right[i] += value;
    });
  });
}

/** MacKay's update: energy over the degrees of freedom that the data determine. */
function evidenceSd(x: Float64Array, variance: Float64Array, first: number, count: number, before: number, least: number): number {
  let [energy, free] = [0, 0];
  for (let q = first; q < first + count; q++) {
    energy += x[q] * x[q];
    free += 1 - variance[q] / before ** 2;
  }
  return Math.max(least, Math.sqrt(energy / Math.max(1, free)));
}

/** Each zone's standard deviation from its own bumps, drawn to the prior's; what lies outside every zone is one more zone. */
function zonePriorSd(
  x: Float64Array,
  variance: Float64Array,
  zone: Int8Array,
  held: readonly boolean[],
  before: Float64Array,
  p: DisplacementParameters,
) {
  const energy = new Map<number, [sum: number, count: number]>();
  zone.forEach((z, j) => {
    const [sum, count] = energy.get(z) ?? [0, 0];
    energy.set(z, [sum + x[j] * x[j] + variance[j], count + 1]);
  });
  return Float64Array.from(zone, (z, j) => {
    if (held[j]) return before[j];
    const [sum, count] = energy.get(z)!;
    return Math.sqrt((p.zonePriorWeight * p.zonePriorMm ** 2 + sum) / (p.zonePriorWeight + count));
  });
}

/** Noise from the residuals, and Student-t weights for it. */
function reweighed(views: readonly Observed[], x: Float64Array, { weights }: Weighted, noiseLeast: number, tail: number): Weighted {
  const residuals = views.map(({ rows, y }) => {
    const fitted = timesRows(rows, x);
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

function readers(
  factor: Float64Array,
  x: Float64Array,
  size: number,
  bumps: number,
  gain: number,
): Pick<DisplacementFit, 'functional' | 'functionals'> {
  const dot = (a: Float64Array, b: Float64Array): number => {
    let sum = 0;
    for (let j = 0; j < bumps; j++) sum += a[j] * b[j];
    return sum;
  };
  const functionals = (ws: readonly Float64Array[]) => {
    return { values: ws.map((w) => gain * dot(w, x)), covariance: covarianceOf(factor, ws, size).map((c) => gain * gain * c) };
  };
  return {
    functionals,
    functional(w) {
      const { values, covariance } = functionals([w]);
      return { value: values[0], u: Math.sqrt(Math.max(0, covariance[0])) };
    },
  };
}

type Coloured = Readonly<{
  set: BumpSet;
  spacingMm: number /** Where its bumps stand among the unknowns, once or several times. */;
  firsts: readonly number[];
}>;

/** Colours of all bumps for the probing; repeats of one set share theirs. */
function coloursOf(parts: readonly Coloured[], size: number): Int16Array {
  const places = carrySmoothly(canonicalMesh().vertices, 3);
  const colours = new Int16Array(size).fill(-1);
  let next = 0;
  for (const { set, spacingMm, firsts } of parts) {
    const at = Float64Array.from({ length: 3 * set.centres.length }, (_, k) => places[3 * set.centres[(k / 3) | 0] + (k % 3)]);
    const own = coloursApart(at, SPACINGS_APART * spacingMm).map((colour) => colour + next);
    for (const first of firsts) colours.set(own, first);
    next = own.reduce((a, b) => Math.max(a, b), next - 1) + 1;
  }
  return colours;
}

function factorOf(matrix: Float64Array, size: number): Float64Array {
  const factor = factorSpd(matrix, size);
  if (!factor) throw new RangeError('the displacement system is not positive definite'); // every unknown has a prior: only NaN gets here
  return factor;
}
