/**
 * The displacement field: where and how far the skin moved along its normal, from what its shading says.
 *
 * Model   for every skin cell of every view
 *           log(after / before) = light terms + g . (-grad d) + q + noise
 *         g is the gradient of log irradiance (shading.ts), d the bumps of bumps.ts, q a smooth misfit of the light model with bumps of its
 *         own, noise Student-t with 4 degrees of freedom. All are estimated in one linear Bayesian fit; the size of q
 *         and of the noise come from the pair itself.
 * Why     fitting the light first and integrating what is left smears along the lines of equal shading; together, each
 *         explanation takes only what it explains better (first experiments, docs/validation.md).
 * Error   posterior covariance. It is also what a test of no change divides by: the scatter of the estimate alone would be smaller,
 *         because the prior holds it, but then an interval could reach across zero and the test still call it a change.
 * Source  MacKay, Neural Computation 4(3):415-447, 1992 (evidence updates of variances); Lange, Little & Taylor,
 *         JASA 84(408):881-896, 1989 (Student-t by reweighting).
 */
import { lightBasis, LIGHT_PRIOR_SD, LIGHT_TERMS } from '#lib/light/light-basis.ts';
import type { RelitPair } from '#lib/light/relight.ts';
import { addNormal, RowBuilder, timesRows, weightedRight, type SparseRows } from '#lib/stats/sparse-rows.ts';
import { factorSpd, inverseFactored, solveFactored } from '#lib/stats/solve-spd.ts';
import { luminanceFromLinearSrgb } from '#lib/colour/luminance.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import { bumpsAt, bumpSet, fineZones, type BumpSet } from './bumps.ts';
import { shadingOf } from './shading.ts';

/** Everything that can be set; recorded in each Comparison. */
export const DISPLACEMENT_PARAMETERS = {
  spacingMm: 7,
  sigmaMm: 6,
  /** Prior standard deviation of one bump, mm; neighbours overlap, so the field's own is about 1.5 times that. */
  priorMm: 0.35,
  /** The same on reference zones, which the fit holds near rest. */
  referencePriorMm: 0.06,
  misfitSpacingMm: 12,
  misfitSigmaMm: 10,
  /** Where the misfit's standard deviation starts, natural log units, and the least it may become. */
  misfitStart: 0.01,
  misfitLeast: 0.002,
  noiseLeast: 0.003,
  /** Cells repeat each other: one in so many counts. */
  cellsPerSample: 4,
  tail: 4,
  rounds: 6,
};

export type DisplacementParameters = Readonly<typeof DISPLACEMENT_PARAMETERS>;

export type DisplacementFit = Readonly<{
  set: BumpSet;
  /** (bumps) mm */
  bumpsMm: Float64Array;
  misfit: readonly number[];
  noise: number;
  /** Value and standard uncertainty of a linear functional `w` (bumps). */
  functional: (w: Float64Array) => { value: number; u: number };
  /** Values (m) and covariance (m, m) of several functionals together. */
  functionals: (ws: readonly Float64Array[]) => { values: number[]; covariance: Float64Array };
  /** Per view, per cell, 0..1: how far the light model explains the cell and how much of it was seen. */
  trust: readonly Float64Array[];
}>;

export function fitDisplacement(views: readonly RelitPair[], references: readonly ZoneId[], p: DisplacementParameters = DISPLACEMENT_PARAMETERS): DisplacementFit {
  const set = bumpSet(p.spacingMm, p.sigmaMm);
  const misfitSet = bumpSet(p.misfitSpacingMm, p.misfitSigmaMm);
  const bumps = set.centres.length;
  const parts = misfitSet.centres.length;
  // Order: bumps, the light of every view, the misfit of every view. The misfit stands last because the trailing block of an
  // inverse is the inverse of the trailing block of the factor, and only that block's diagonal is ever asked for.
  const firstMisfit = bumps + views.length * LIGHT_TERMS;
  const size = firstMisfit + views.length * parts;
  const systems = views.map((view, v) => rowsOf(view, set, misfitSet, bumps + v * LIGHT_TERMS, firstMisfit + v * parts));

  const zones = fineZones();
  const priorD = Float64Array.from(set.centres, (c) => 1 / (references.includes(ZONE_IDS[zones[c]]) ? p.referencePriorMm : p.priorMm) ** 2);
  let misfit = views.map(() => p.misfitStart);
  let noise = 0.02;
  let weights = systems.map(({ trust }) => Float64Array.from(trust));
  let x: Float64Array = new Float64Array(size);
  let factor: Float64Array = new Float64Array(0);
  for (let round = 0; round < p.rounds; round++) {
    const matrix = new Float64Array(size * size);
    const right = new Float64Array(size);
    systems.forEach(({ rows, y }, v) => {
      const w = weights[v].map((weight) => weight / (noise * noise * p.cellsPerSample));
      addNormal(matrix, size, rows, w);
      weightedRight(size, rows, w, y).forEach((value, i) => (right[i] += value));
    });
    for (let j = 0; j < bumps; j++) matrix[j * size + j] += priorD[j];
    views.forEach((_, v) => {
      for (let a = 0; a < LIGHT_TERMS; a++) matrix[(bumps + v * LIGHT_TERMS + a) * (size + 1)] += 1 / LIGHT_PRIOR_SD[a] ** 2;
      for (let q = 0; q < parts; q++) matrix[(firstMisfit + v * parts + q) * (size + 1)] += 1 / misfit[v] ** 2;
    });
    factor = factorOf(matrix, size);
    x = solveFactored(factor, right, size);
    if (round === p.rounds - 1) break;
    const variance = trailingVariances(factor, size, firstMisfit);
    misfit = views.map((_, v) => {
      let [energy, free] = [0, 0];
      for (let q = v * parts; q < (v + 1) * parts; q++) {
        energy += x[firstMisfit + q] ** 2;
        free += 1 - variance[q] / misfit[v] ** 2;
      }
      return Math.max(p.misfitLeast, Math.sqrt(energy / Math.max(1, free)));
    });
    let [sum, total] = [0, 0];
    const residuals = systems.map(({ rows, y }) => {
      const fitted = timesRows(rows, x);
      return y.map((value, i) => value - fitted[i]);
    });
    residuals.forEach((r, v) => r.forEach((e, i) => {
      sum += weights[v][i] * e * e;
      total += systems[v].trust[i];
    }));
    noise = Math.max(p.noiseLeast, Math.sqrt(sum / Math.max(1, total)));
    weights = residuals.map((r, v) => r.map((e, i) => (systems[v].trust[i] * (p.tail + 1)) / (p.tail + (e / noise) ** 2)));
  }
  const solved = factor;
  const functionals = (ws: readonly Float64Array[]): { values: number[]; covariance: Float64Array } => {
    const solutions = ws.map((w) => {
      const right = new Float64Array(size);
      right.set(w);
      return solveFactored(solved, right, size);
    });
    const dot = (a: Float64Array, b: Float64Array): number => {
      let sum = 0;
      for (let j = 0; j < bumps; j++) sum += a[j] * b[j];
      return sum;
    };
    const covariance = new Float64Array(ws.length ** 2);
    ws.forEach((w, a) => solutions.forEach((v, b) => { covariance[a * ws.length + b] = dot(w, v); }));
    return { values: ws.map((w) => dot(w, x)), covariance };
  };
  return {
    set, bumpsMm: x.slice(0, bumps), misfit, noise, trust: systems.map(({ trust }) => trust), functionals,
    functional(w) {
      const { values, covariance } = functionals([w]);
      return { value: values[0], u: Math.sqrt(Math.max(0, covariance[0])) };
    },
  };
}

type System = Readonly<{ rows: SparseRows; y: Float64Array; trust: Float64Array }>;

function rowsOf(view: RelitPair, set: BumpSet, misfitSet: BumpSet, firstLight: number, firstMisfit: number): System {
  const { cells, aligned } = view;
  const { gradient, trust } = shadingOf(view);
  const basis = lightBasis(cells);
  const r = aligned.before.head.rotation;
  const builder = new RowBuilder();
  const inverse2 = 1 / set.sigmaMm ** 2;
  for (let k = 0; k < cells.count; k++) {
    // viewer -> camera (y and z flip) -> head (transposed rotation)
    const gx = gradient[3 * k], gy = -gradient[3 * k + 1], gz = -gradient[3 * k + 2];
    const hx = r[0] * gx + r[3] * gy + r[6] * gz;
    const hy = r[1] * gx + r[4] * gy + r[7] * gz;
    const hz = r[2] * gx + r[5] * gy + r[8] * gz;
    const [x, y, z] = [cells.headMm[3 * k], cells.headMm[3 * k + 1], cells.headMm[3 * k + 2]];
    // d log E = g . (-grad d), and grad of a bump is -(p - c) / s^2 times the bump.
    bumpsAt(set, aligned.surface, x, y, z, (j, value, dx, dy, dz) => builder.add(j, value * inverse2 * (hx * dx + hy * dy + hz * dz)));
    for (let a = 0; a < LIGHT_TERMS; a++) builder.add(firstLight + a, basis[k * LIGHT_TERMS + a]);
    bumpsAt(misfitSet, aligned.surface, x, y, z, (j, value) => builder.add(firstMisfit + j, value));
    builder.endRow();
  }
  const y = Float64Array.from({ length: cells.count }, (_, k) =>
    Math.log(luminanceFromLinearSrgb(cells.after[3 * k], cells.after[3 * k + 1], cells.after[3 * k + 2]) / luminanceFromLinearSrgb(cells.before[3 * k], cells.before[3 * k + 1], cells.before[3 * k + 2])));
  return { rows: builder.rows(), y, trust: Float64Array.from(trust, (t, k) => Math.sqrt(t) * cells.coverage[k]) };
}

/** Diagonal of the inverse of L L' from `first` on: that of the trailing block alone. */
function trailingVariances(factor: Float64Array, size: number, first: number): Float64Array {
  const count = size - first;
  const block = new Float64Array(count * count);
  for (let i = 0; i < count; i++) block.set(factor.subarray((first + i) * size + first, (first + i) * size + size), i * count);
  const inverse = inverseFactored(block, count);
  return Float64Array.from({ length: count }, (_, i) => inverse[i * (count + 1)]);
}

function factorOf(matrix: Float64Array, size: number): Float64Array {
  const factor = factorSpd(matrix, size);
  if (!factor) throw new RangeError('the displacement system is not positive definite'); // every unknown has a prior: only NaN gets here
  return factor;
}
