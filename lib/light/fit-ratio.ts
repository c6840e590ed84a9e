/**
 * The difference of light between two photographs of one face, from the skin they share.
 *
 * Model   log(after / before) of a cell = light terms + what changed + noise. Albedo cancels. What changed is an outlier:
 *         Tukey's weights take it out, and the reference zones count in full.
 * Error   neighbouring cells err together, so the covariance is summed over patches, not cells
 *         (Liang & Zeger, Biometrika 73(1):13-22, 1986: the cluster-robust sandwich).
 */
import { tukey } from '#lib/stats/robust-loss.ts';
import { factorSpd, inverseFactored, solveFactored } from '#lib/stats/solve-spd.ts';
import { LIGHT_PRIOR_SD, LIGHT_TERMS, lightBasis } from './light-basis.ts';
import type { SkinCells } from './skin-cells.ts';

/** Side of a patch within which errors are taken as common, mm. */
export const PATCH_MM = 10;
/** A cell never errs less than this, natural log units: texture that registration leaves. */
const FLOOR = 0.004;
const ROUNDS = 6;
/** One cell in so many enters the normal equations; residuals, weights and patches use them all. */
const THINNING = 2;

export type RatioFit = Readonly<{
  /** (LIGHT_TERMS) */
  terms: Float64Array;
  /** (LIGHT_TERMS, LIGHT_TERMS) */
  covariance: Float64Array;
  /** (count) log(after / before) less the light, and the weight the cell ended with. */
  residual: Float64Array;
  weight: Float64Array;
  /** (count) patch each cell belongs to */
  patch: Int32Array;
  patches: number;
  /** Robust standard deviation of the patches' mean residual: how far the light model itself can be trusted. */
  misfit: number;
}>;

/** Fits the log ratio `y` (count). `trust` (count, 0..1) multiplies the weights: 1 on reference zones. */
export function fitRatio(cells: SkinCells, y: Float64Array, trust: Float64Array): RatioFit {
  const n = LIGHT_TERMS;
  const basis = lightBasis(cells);
  const { patch, patches } = patchesOf(cells);
  const loss = tukey();
  let weight = Float64Array.from(trust);
  let terms = new Float64Array(n);
  let residual = y;
  let sigma = 0;
  let inverse = new Float64Array(n * n);
  for (let round = 0; round < ROUNDS; round++) {
    const normal = new Float64Array(n * n);
    const right = new Float64Array(n);
    const noise2 = Math.max(FLOOR, sigma || 0.05) ** 2;
    for (let k = 0; k < cells.count; k += THINNING) {
      const w = (weight[k] * THINNING) / noise2 / CELLS_PER_SAMPLE;
      for (let a = 0; a < n; a++) {
        const wa = w * basis[k * n + a];
        right[a] += wa * y[k];
        for (let b = 0; b <= a; b++) normal[a * n + b] += wa * basis[k * n + b];
      }
    }
    for (let a = 0; a < n; a++) normal[a * n + a] += 1 / LIGHT_PRIOR_SD[a] ** 2;
    const factor = factorSpd(normal, n);
    if (!factor) throw new RangeError('the light terms have no finite information'); // every term has a prior: only NaN gets here
    terms = Float64Array.from(solveFactored(factor, right, n));
    if (round === ROUNDS - 1) inverse = Float64Array.from(inverseFactored(factor, n));
    const fitted = terms;
    residual = y.map((value, k) => {
      let sum = value;
      for (let a = 0; a < n; a++) sum -= basis[k * n + a] * fitted[a];
      return sum;
    });
    sigma = 1.4826 * medianAbs(residual);
    const scale = Math.max(FLOOR, sigma);
    const res = residual;
    weight = trust.map((t, k) => t * loss.weight(res[k] / scale));
  }
  const noise2 = Math.max(FLOOR, sigma) ** 2 * CELLS_PER_SAMPLE;
  return {
    terms,
    covariance: sandwich(basis, residual, weight, patch, patches, inverse, noise2),
    residual,
    weight,
    patch,
    patches,
    misfit: patchScatter(residual, patch, patches),
  };
}

/** Cells of 1.6 mm repeat each other over about 6 mm; one in so many counts against the priors. */
const CELLS_PER_SAMPLE = 12;

function patchesOf(cells: SkinCells): { patch: Int32Array; patches: number } {
  const known = new Map<string, number>();
  const patch = new Int32Array(cells.count);
  for (let k = 0; k < cells.count; k++) {
    const key = [0, 1, 2].map((c) => Math.floor(cells.headMm[3 * k + c] / PATCH_MM + 0.5)).join();
    if (!known.has(key)) known.set(key, known.size);
    patch[k] = known.get(key)!;
  }
  return { patch, patches: known.size };
}

function sandwich(
  basis: Float64Array,
  residual: Float64Array,
  weight: Float64Array,
  patch: Int32Array,
  patches: number,
  inverse: Float64Array,
  noise2: number,
): Float64Array {
  const n = LIGHT_TERMS;
  const scores = new Float64Array(patches * n);
  for (let k = 0; k < residual.length; k++)
    for (let a = 0; a < n; a++) scores[patch[k] * n + a] += (weight[k] * residual[k] * basis[k * n + a]) / noise2;
  const half = new Float64Array(patches * n);
  for (let p = 0; p < patches; p++)
    for (let a = 0; a < n; a++) {
      let sum = 0;
      for (let b = 0; b < n; b++) sum += inverse[a * n + b] * scores[p * n + b];
      half[p * n + a] = sum;
    }
  const out = new Float64Array(n * n);
  for (let p = 0; p < patches; p++)
    for (let a = 0; a < n; a++) for (let b = 0; b < n; b++) out[a * n + b] += half[p * n + a] * half[p * n + b];
  return out;
}

function patchScatter(residual: Float64Array, patch: Int32Array, patches: number): number {
  const sum = new Float64Array(patches),
    count = new Float64Array(patches);
  residual.forEach((value, k) => {
    sum[patch[k]] += value;
    count[patch[k]]++;
  });
  const means = Array.from(sum, (value, p) => value / count[p]).filter((_, p) => count[p] >= 8);
  return 1.4826 * medianAbs(means);
}

function medianAbs(values: ArrayLike<number>): number {
  const sorted = Float64Array.from(values, Math.abs).sort();
  return sorted.length ? sorted[sorted.length >> 1] : 0;
}
