/**
 * Gaussian blur and the band between two of them.
 *
 * Model   separable. A narrow Gaussian is summed directly, cut at 4 sigma; a wide one runs as two fourth-order
 *         recursions, whose cost does not grow with sigma. Edges reflect by half a sample: (b a | a b c | c b).
 * Source  Deriche, INRIA report 1893, 1993, with the coefficients as compared in Getreuer, Image Processing On
 *         Line 3:286-310, 2013, doi:10.5201/ipol.2013.87.
 */

import { gaussianRecursion, type Recursion } from './gaussian-recursion.ts';
import type { Raster } from './raster.ts';

/** Below this the direct sum is cheaper, and the recursion less exact. */
const DIRECT_BELOW_SIGMA_PX = 3;
/**
 * How many sigma of reflected edge settle the recursion before the first pixel that counts. It starts as if the
 * first of them had gone on for ever, so a constant picture stays exactly constant.
 */
const SETTLE_SIGMAS = 4;

/** Blurs every channel with a Gaussian of standard deviation `sigmaPx` (>= 0; 0 copies). NaN spreads; fill gaps first. */
export function gaussianBlur(image: Raster, sigmaPx: number): Raster {
  if (!(sigmaPx >= 0 && Number.isFinite(sigmaPx))) throw new RangeError(`sigma must be a finite number of px, 0 or more, got ${sigmaPx}`);
  const { width, height, channels, data } = image;
  if (sigmaPx === 0) return { width, height, channels, data: data.slice() };
  const out = new Float32Array(data.length);
  if (sigmaPx < DIRECT_BELOW_SIGMA_PX) {
    const kernel = gaussianKernel(sigmaPx);
    const between = new Float32Array(data.length);
    directRows(data, between, width, height, channels, kernel);
    directColumns(between, out, height, width * channels, kernel);
  } else {
    const recursion = gaussianRecursion(sigmaPx);
    const settle = Math.ceil(SETTLE_SIGMAS * sigmaPx);
    const between = new Float32Array(data.length);
    recursiveRows(data, between, width, height, channels, recursion, settle);
    recursiveColumns(between, out, height, width * channels, recursion, settle);
  }
  return { width, height, channels, data: out };
}

/** What lies between two scales: blur at `finePx` (0 keeps everything fine) less blur at `coarsePx`; 0 <= fine < coarse. */
export function bandPass(image: Raster, finePx: number, coarsePx: number): Raster {
  if (!(finePx < coarsePx)) throw new RangeError(`the fine sigma must be below the coarse one, got ${finePx} and ${coarsePx}`);
  const fine = gaussianBlur(image, finePx);
  const coarse = gaussianBlur(image, coarsePx);
  for (let i = 0; i < fine.data.length; i++) fine.data[i] = fine.data[i] - coarse.data[i];
  return fine;
}

/** Half of a symmetric kernel: [centre, 1 px away, ...], both halves together adding up to 1. */
function gaussianKernel(sigma: number): Float64Array {
  const radius = Math.max(1, Math.ceil(4 * sigma));
  const half = Float64Array.from({ length: radius + 1 }, (_, k) => Math.exp(-(k * k) / (2 * sigma * sigma)));
  const sum = half.reduce((total, w, k) => total + (k === 0 ? w : 2 * w), 0);
  return half.map((w) => w / sum);
}

/** The index that half-sample reflection gives to place `i` of a line of `n`. */
function reflect(i: number, n: number): number {
  const period = 2 * n;
  const k = ((i % period) + period) % period;
  return k < n ? k : period - 1 - k;
}

function directRows(from: Float32Array, to: Float32Array, width: number, height: number, channels: number, half: Float64Array): void {
  const radius = half.length - 1;
  const line = new Float64Array(width + 2 * radius);
  for (let y = 0; y < height; y++) {
    for (let c = 0; c < channels; c++) {
      const start = y * width * channels + c;
      for (let x = -radius; x < width + radius; x++) line[x + radius] = from[start + reflect(x, width) * channels];
      for (let x = 0; x < width; x++) {
        const at = x + radius;
        let sum = half[0] * line[at];
        for (let k = 1; k <= radius; k++) sum += half[k] * (line[at - k] + line[at + k]);
        to[start + x * channels] = sum;
      }
    }
  }
}

/** Whole rows are added to a row of sums, so that memory is walked in order. */
function directColumns(from: Float32Array, to: Float32Array, height: number, stride: number, half: Float64Array): void {
  const sums = new Float64Array(stride);
  for (let y = 0; y < height; y++) {
    const centre = y * stride;
    for (let i = 0; i < stride; i++) sums[i] = half[0] * from[centre + i];
    for (let k = 1; k < half.length; k++) {
      const above = reflect(y - k, height) * stride;
      const below = reflect(y + k, height) * stride;
      const weight = half[k];
      for (let i = 0; i < stride; i++) sums[i] = sums[i] + weight * (from[above + i] + from[below + i]);
    }
    to.set(sums, centre);
  }
}

function recursiveRows(
  from: Float32Array,
  to: Float32Array,
  width: number,
  height: number,
  channels: number,
  filter: Recursion,
  settle: number,
): void {
  const {
    ahead: [n0, n1, n2, n3],
    back: [m1, m2, m3, m4],
    feedback: [d1, d2, d3, d4],
  } = filter;
  const steadyAhead = (n0 + n1 + n2 + n3) / (1 + d1 + d2 + d3 + d4);
  const steadyBack = (m1 + m2 + m3 + m4) / (1 + d1 + d2 + d3 + d4);
  const line = new Float64Array(width + 2 * settle);
  const forward = new Float64Array(width);
  for (let y = 0; y < height; y++) {
    for (let c = 0; c < channels; c++) {
      const start = y * width * channels + c;
      for (let x = 0; x < line.length; x++) line[x] = from[start + reflect(x - settle, width) * channels];
      const last = line.length - 1;
      let x1 = line[0],
        x2 = x1,
        x3 = x1,
        x4 = line[last];
      let y1 = steadyAhead * x1,
        y2 = y1,
        y3 = y1,
        y4 = y1;
      for (let i = 0; i < settle + width; i++) {
        const x0 = line[i];
        const y0 = n0 * x0 + n1 * x1 + n2 * x2 + n3 * x3 - d1 * y1 - d2 * y2 - d3 * y3 - d4 * y4;
        x3 = x2;
        x2 = x1;
        x1 = x0;
        y4 = y3;
        y3 = y2;
        y2 = y1;
        y1 = y0;
        if (i >= settle) forward[i - settle] = y0;
      }
      x1 = x2 = x3 = x4;
      y1 = y2 = y3 = y4 = steadyBack * x4;
      for (let i = last; i >= settle; i--) {
        const y0 = m1 * x1 + m2 * x2 + m3 * x3 + m4 * x4 - d1 * y1 - d2 * y2 - d3 * y3 - d4 * y4;
        x4 = x3;
        x3 = x2;
        x2 = x1;
        x1 = line[i];
        y4 = y3;
        y3 = y2;
        y2 = y1;
        y1 = y0;
        if (i < settle + width) to[start + (i - settle) * channels] = forward[i - settle] + y0;
      }
    }
  }
}

/** The same recursion for all columns at once: each state is a row, so that memory is walked in order. */
function recursiveColumns(from: Float32Array, to: Float32Array, height: number, stride: number, filter: Recursion, settle: number): void {
  const {
    ahead: [n0, n1, n2, n3],
    back: [m1, m2, m3, m4],
    feedback: [d1, d2, d3, d4],
  } = filter;
  const rowAt = (y: number): number => reflect(Math.min(Math.max(y, -settle), height - 1 + settle), height) * stride;
  let [y0, y1, y2, y3, y4] = steadyRows(from, rowAt(-settle), stride, (n0 + n1 + n2 + n3) / (1 + d1 + d2 + d3 + d4));
  for (let y = -settle; y < height; y++) {
    const a = rowAt(y),
      b = rowAt(y - 1),
      c = rowAt(y - 2),
      d = rowAt(y - 3);
    for (let i = 0; i < stride; i++)
      y0[i] = n0 * from[a + i] + n1 * from[b + i] + n2 * from[c + i] + n3 * from[d + i] - d1 * y1[i] - d2 * y2[i] - d3 * y3[i] - d4 * y4[i];
    if (y >= 0) to.set(y0, y * stride);
    [y0, y1, y2, y3, y4] = [y4, y0, y1, y2, y3];
  }
  [y0, y1, y2, y3, y4] = steadyRows(from, rowAt(height - 1 + settle), stride, (m1 + m2 + m3 + m4) / (1 + d1 + d2 + d3 + d4));
  for (let y = height - 1 + settle; y >= 0; y--) {
    const a = rowAt(y + 1),
      b = rowAt(y + 2),
      c = rowAt(y + 3),
      d = rowAt(y + 4);
    for (let i = 0; i < stride; i++)
      y0[i] = m1 * from[a + i] + m2 * from[b + i] + m3 * from[c + i] + m4 * from[d + i] - d1 * y1[i] - d2 * y2[i] - d3 * y3[i] - d4 * y4[i];
    if (y < height) {
      const row = y * stride;
      for (let i = 0; i < stride; i++) to[row + i] = to[row + i] + y0[i];
    }
    [y0, y1, y2, y3, y4] = [y4, y0, y1, y2, y3];
  }
}

/** Five states of a recursion that has seen the row at `start` for ever. */
function steadyRows(
  from: Float32Array,
  start: number,
  stride: number,
  steady: number,
): [Float64Array, Float64Array, Float64Array, Float64Array, Float64Array] {
  const row = Float64Array.from(from.subarray(start, start + stride), (value) => value * steady);
  return [row, row.slice(), row.slice(), row.slice(), row.slice()];
}
