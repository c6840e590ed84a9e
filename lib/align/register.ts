/**
 * Dense registration of two photographs of one face: rigid pose, then landmarks, then skin texture, in one estimate.
 *
 * Model   after place = rigid(x) + s(x), with s a B-spline lattice. s maximises the posterior of
 *           landmarks   e_i = s(x_i) + noise of LANDMARK_SD_MM (a landmark's own bias, not its scatter),
 *           texture     A(rigid(x) + s(x)) = B(x) + noise, robust (Geman-McClure), scale from the residuals,
 *           smoothness  neighbouring nodes differ by STRAIN_SD of their distance.
 *         Every weight is a standard deviation of something that can be measured; none is a bare number to turn.
 * Source  Gauss-Newton with the mean of both gradients, Lucas & Kanade 1981, as inverse-symmetric in Baker & Matthews,
 *         IJCV 56(3):221-255, 2004.
 */
import type { Raster } from '#lib/photo/raster.ts';
import { addToBanded, bandedMatrix, factorBanded, solveFactoredBanded } from '#lib/stats/solve-banded.ts';
import { type Flow, flowAlongRow } from './flow.ts';
import { carriers, type Lattice } from './lattice.ts';

/** A landmark follows its detector's idea of the face, which differs between two photographs by about this much. */
export const LANDMARK_SD_MM = 0.35;
/** Skin at rest is stretched by a few per cent between two photographs taken weeks apart. */
export const STRAIN_SD = 0.04;
/** Band-passed neighbouring pixels repeat each other: about one in this many counts. */
const PIXELS_PER_SAMPLE = 6;
/** Side of the blocks whose sums enter the lattice at once, feature px. */
const BLOCK = 4;

export type LandmarkPull = Readonly<{
  /** (n, 2) before px, and how far each should move beyond the rigid motion, px. */
  places: Float64Array;
  pulls: Float64Array;
}>;

export type Layer = Readonly<{
  /** Feature px per working px: 0.5 or 0.25. */
  scale: number;
  before: Raster;
  after: Raster;
  /** Where the two rasters begin in their photographs, feature px: only the face is looked at. */
  beforeAt: readonly [x: number, y: number];
  afterAt: readonly [x: number, y: number];
  /** 1 where texture may be used, on the before layer's grid. */
  mask: Uint8Array;
}>;

/** What texture says of the shift in one block: gradient products and their residual, sums of weights; feature px. */
export type BlockSums = Readonly<{ columns: number; rows: number; sums: Float64Array; noise: number }>;

/** One Gauss-Newton step of the lattice against landmarks, smoothness and, when given, a layer of texture. */
export function improve(
  lattice: Lattice,
  landmarks: LandmarkPull,
  mmPerPx: number,
  texture: { layer: Layer; flow: Flow; noiseLeast: number } | null,
): Lattice {
  const nodes = lattice.columns * lattice.rows;
  const band = 2 * (3 * lattice.columns + 3) + 1;
  const matrix = bandedMatrix(2 * nodes, band);
  const right = new Float64Array(2 * nodes);
  const at = new Int32Array(16);
  const weight = new Float64Array(16);

  const landmarkInfo = (mmPerPx / LANDMARK_SD_MM) ** 2;
  for (let i = 0; i < landmarks.places.length; i += 2) {
    carriers(lattice, landmarks.places[i], landmarks.places[i + 1], at, weight);
    addInformation(
      matrix,
      right,
      at,
      weight,
      lattice.shift,
      landmarkInfo,
      0,
      landmarkInfo,
      landmarks.pulls[i] * landmarkInfo,
      landmarks.pulls[i + 1] * landmarkInfo,
      true,
    );
  }
  const stiffness = 1 / (STRAIN_SD * lattice.spacing) ** 2;
  for (let j = 0; j < lattice.rows; j++) {
    for (let i = 0; i < lattice.columns; i++) {
      const a = j * lattice.columns + i;
      if (i + 1 < lattice.columns) tie(matrix, right, lattice.shift, a, a + 1, stiffness);
      if (j + 1 < lattice.rows) tie(matrix, right, lattice.shift, a, a + lattice.columns, stiffness);
      addToBanded(matrix, 2 * a, 2 * a, 1e-6 * stiffness);
      addToBanded(matrix, 2 * a + 1, 2 * a + 1, 1e-6 * stiffness);
    }
  }
  if (texture) {
    const { layer, flow, noiseLeast } = texture;
    const blocks = blockSums(layer, flow, noiseLeast);
    const perSample = (layer.scale * layer.scale) / (PIXELS_PER_SAMPLE * blocks.noise * blocks.noise);
    const rightPer = layer.scale / (PIXELS_PER_SAMPLE * blocks.noise * blocks.noise);
    for (let b = 0; b < blocks.columns * blocks.rows; b++) {
      const s = 6 * b;
      if (blocks.sums[s + 5] === 0) continue;
      const x = (layer.beforeAt[0] + ((b % blocks.columns) + 0.5) * BLOCK) / layer.scale;
      const y = (layer.beforeAt[1] + (Math.floor(b / blocks.columns) + 0.5) * BLOCK) / layer.scale;
      carriers(lattice, x, y, at, weight);
      addInformation(
        matrix,
        right,
        at,
        weight,
        lattice.shift,
        blocks.sums[s] * perSample,
        blocks.sums[s + 1] * perSample,
        blocks.sums[s + 2] * perSample,
        blocks.sums[s + 3] * rightPer,
        blocks.sums[s + 4] * rightPer,
        false,
      );
    }
  }
  const step = solveFactoredBanded(factorBanded(matrix), right);
  const shift = new Float64Array(lattice.shift.length);
  for (let k = 0; k < shift.length; k++) shift[k] = lattice.shift[k] + step[k];
  return { ...lattice, shift };
}

/** Sums over blocks of BLOCK x BLOCK feature px: w gx gx, w gx gy, w gy gy, w gx r, w gy r, w. r = before - after. */
export function blockSums(layer: Layer, flow: Flow, noiseLeast: number): BlockSums {
  const { before, mask } = layer;
  const { width, height } = before;
  const columns = Math.floor(width / BLOCK),
    rows = Math.floor(height / BLOCK);
  const warped = warpFeature(layer, flow);
  const residuals: number[] = [];
  for (let i = 0; i < warped.length; i += 7) if (mask[i] && !Number.isNaN(warped[i])) residuals.push(Math.abs(before.data[i] - warped[i]));
  residuals.sort((p, q) => p - q);
  const noise = Math.max(noiseLeast, 1.4826 * (residuals[residuals.length >> 1] ?? 1));
  const sums = new Float64Array(columns * rows * 6);
  for (let y = 1; y < rows * BLOCK - 1 && y < height - 1; y++) {
    for (let x = 1; x < columns * BLOCK - 1 && x < width - 1; x++) {
      const i = y * width + x;
      if (!mask[i]) continue;
      const gx = 0.25 * (before.data[i + 1] - before.data[i - 1] + warped[i + 1] - warped[i - 1]);
      const gy = 0.25 * (before.data[i + width] - before.data[i - width] + warped[i + width] - warped[i - width]);
      const r = before.data[i] - warped[i];
      if (Number.isNaN(gx + gy + r)) continue;
      const q = r / (2.5 * noise);
      const w = 1 / (1 + q * q) ** 2;
      const s = 6 * (Math.floor(y / BLOCK) * columns + Math.floor(x / BLOCK));
      sums[s] += w * gx * gx;
      sums[s + 1] += w * gx * gy;
      sums[s + 2] += w * gy * gy;
      sums[s + 3] += w * gx * r;
      sums[s + 4] += w * gy * r;
      sums[s + 5] += w;
    }
  }
  return { columns, rows, sums, noise };
}

/** The after features carried into the before grid, linear between pixels; NaN outside the after photograph. */
function warpFeature({ before, after, beforeAt, afterAt, scale }: Layer, flow: Flow): Float32Array {
  const { width, height } = before;
  const out = new Float32Array(width * height).fill(Number.NaN);
  const xs = new Float32Array(width),
    ys = new Float32Array(width);
  for (let y = 0; y < height; y++) {
    flowAlongRow(flow, (beforeAt[1] + y + 0.5) / scale, (beforeAt[0] + 0.5) / scale, 1 / scale, width, xs, ys);
    for (let x = 0; x < width; x++) {
      const u = xs[x] * scale - 0.5 - afterAt[0],
        v = ys[x] * scale - 0.5 - afterAt[1];
      if (!(u >= 0 && v >= 0 && u < after.width - 1 && v < after.height - 1)) continue;
      const i = u | 0,
        j = v | 0;
      const f = u - i,
        g = v - j;
      const p = j * after.width + i;
      const top = after.data[p] + f * (after.data[p + 1] - after.data[p]);
      const low = after.data[p + after.width] + f * (after.data[p + after.width + 1] - after.data[p + after.width]);
      out[y * width + x] = top + g * (low - top);
    }
  }
  return out;
}

type Matrix = ReturnType<typeof bandedMatrix>;

/** Adds a 2 x 2 information matrix on the shift at one place, and its right side; `absolute` when the right side is a target, not a step. */
function addInformation(
  matrix: Matrix,
  right: Float64Array,
  at: Int32Array,
  weight: Float64Array,
  shift: Float64Array,
  xx: number,
  xy: number,
  yy: number,
  rx: number,
  ry: number,
  absolute: boolean,
): void {
  if (absolute) {
    let sx = 0,
      sy = 0;
    for (let k = 0; k < 16; k++) {
      sx += weight[k] * shift[2 * at[k]];
      sy += weight[k] * shift[2 * at[k] + 1];
    }
    rx -= xx * sx + xy * sy;
    ry -= xy * sx + yy * sy;
  }
  const span = matrix.bandwidth + 1;
  for (let a = 0; a < 16; a++) {
    const row = 2 * at[a];
    right[row] += weight[a] * rx;
    right[row + 1] += weight[a] * ry;
    const rowX = row * span - row + matrix.bandwidth;
    const rowY = (row + 1) * span - (row + 1) + matrix.bandwidth;
    for (let b = 0; b <= a; b++) {
      // carriers are listed in ascending order, so column <= row
      const column = 2 * at[b];
      const w = weight[a] * weight[b];
      matrix.data[rowX + column] += w * xx;
      matrix.data[rowY + column] += w * xy;
      matrix.data[rowY + column + 1] += w * yy;
      if (b < a) matrix.data[rowX + column + 1] += w * xy;
    }
  }
}

function tie(matrix: Matrix, right: Float64Array, shift: Float64Array, a: number, b: number, stiffness: number): void {
  for (let k = 0; k < 2; k++) {
    const p = 2 * a + k,
      q = 2 * b + k;
    addToBanded(matrix, p, p, stiffness);
    addToBanded(matrix, q, q, stiffness);
    addToBanded(matrix, p, q, -stiffness);
    const pull = stiffness * (shift[q] - shift[p]);
    right[p] += pull;
    right[q] -= pull;
  }
}
