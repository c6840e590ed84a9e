/**
 * Gaussian blur and the band between two of them.
 *
 * Model   separable. A narrow Gaussian is summed directly, cut at 4 sigma; a wide one runs as two fourth-order
 *         recursions, whose cost does not grow with sigma. Edges reflect by half a sample: (b a | a b c | c b).
 * Source  Deriche, INRIA report 1893, 1993, with the coefficients as compared in Getreuer, Image Processing On
 *         Line 3:286-310, 2013, doi:10.5201/ipol.2013.87.
 */
import { gaussianRecursion } from './gaussian-recursion.ts';
import type { Raster } from './raster.ts';
import { recursiveColumns, recursiveRows } from './recursive-blur.ts';
import { reflect } from './reflect.ts';

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
