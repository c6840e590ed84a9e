/**
 * Values between the pixels.
 *
 * Frame   pixels; the centre of the first pixel is (0.5, 0.5); outside the picture the edge pixel goes on.
 * Source  cubic: Catmull and Rom's spline (a = -1/2): Keys, IEEE TASSP 29(6):1153-1160, 1981, doi:10.1109/TASSP.1981.1163711.
 */
import type { Raster } from './raster.ts';

/** The value of `channel` at (x, y) px, linear between the four nearest pixel centres. */
export function sampleBilinear(image: Raster, x: number, y: number, channel = 0): number {
  const { width, height, channels, data } = image;
  const u = clamp(x - 0.5, width - 1);
  const v = clamp(y - 0.5, height - 1);
  const x0 = Math.floor(u),
    y0 = Math.floor(v);
  const fx = u - x0,
    fy = v - y0;
  const right = x0 + 1 < width ? channels : 0;
  const below = y0 + 1 < height ? width * channels : 0;
  const i = (y0 * width + x0) * channels + channel;
  const top = data[i] + fx * (data[i + right] - data[i]);
  const bottom = data[i + below] + fx * (data[i + below + right] - data[i + below]);
  return top + fy * (bottom - top);
}

/** The value of `channel` at (x, y) px by the Catmull-Rom spline through 4 x 4 pixel centres; may overshoot their range. */
export function sampleCubic(image: Raster, x: number, y: number, channel = 0): number {
  const { width, height, channels, data } = image;
  const u = clamp(x - 0.5, width - 1);
  const v = clamp(y - 0.5, height - 1);
  const x0 = Math.floor(u),
    y0 = Math.floor(v);
  const fx = u - x0,
    fy = v - y0;
  const a = cubic0(fx),
    b = cubic1(fx),
    c = cubic1(1 - fx),
    d = cubic0(1 - fx);
  const xa = Math.max(0, x0 - 1) * channels + channel;
  const xb = x0 * channels + channel;
  const xc = Math.min(width - 1, x0 + 1) * channels + channel;
  const xd = Math.min(width - 1, x0 + 2) * channels + channel;
  let sum = 0;
  for (let k = -1; k <= 2; k++) {
    const row = clamp(y0 + k, height - 1) * width * channels;
    const weight = k === -1 ? cubic0(fy) : k === 0 ? cubic1(fy) : k === 1 ? cubic1(1 - fy) : cubic0(1 - fy);
    sum += weight * (a * data[row + xa] + b * data[row + xb] + c * data[row + xc] + d * data[row + xd]);
  }
  return sum;
}

/**
 * Draws `image` anew: pixel i of the result takes the value at (xs[i], ys[i]) px of `image`, all channels.
 * `outside` says what a place beyond the picture's border gives: the edge's value, or NaN. A NaN place gives NaN.
 * xs and ys have width * height entries, row by row; throws RangeError otherwise.
 */
export function resample(
  image: Raster,
  xs: ArrayLike<number>,
  ys: ArrayLike<number>,
  width: number,
  height: number,
  kernel: 'bilinear' | 'cubic' = 'cubic',
  outside: 'edge' | 'nan' = 'nan',
): Raster {
  const count = width * height;
  if (xs.length !== count || ys.length !== count)
    throw new RangeError(`a map of ${width} x ${height} needs ${count} places, got ${xs.length} and ${ys.length}`);
  const sample = kernel === 'cubic' ? sampleCubic : sampleBilinear;
  const { channels } = image;
  const data = new Float32Array(count * channels);
  for (let i = 0; i < count; i++) {
    const x = xs[i],
      y = ys[i];
    const inside = x >= 0 && y >= 0 && x <= image.width && y <= image.height;
    const empty = inside ? false : outside === 'nan' || Number.isNaN(x + y);
    for (let c = 0; c < channels; c++) data[i * channels + c] = empty ? Number.NaN : sample(image, x, y, c);
  }
  return { width, height, channels, data };
}

const clamp = (value: number, most: number): number => (value < 0 ? 0 : value > most ? most : value);

/** Catmull-Rom weight of the sample beyond the near one, at fraction t past the near one. */
const cubic0 = (t: number): number => -0.5 * t * (1 - t) * (1 - t);
/** Catmull-Rom weight of the near sample, at fraction t past it. */
const cubic1 = (t: number): number => 1 + t * t * (1.5 * t - 2.5);
