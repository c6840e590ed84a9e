/**
 * Rasters of real numbers, and the small pure operations that every later room needs.
 *
 * Frame   pixels; x right, y down; the centre of the first pixel is (0.5, 0.5); channels interleaved.
 * Edges   half-sample reflection where a filter looks outside: (b a | a b c | c b).
 */
import { luminanceRasterFromLinearSrgb } from '#lib/colour/luminance.ts';
import type { LinearPhoto } from './types.ts';

export { bandPass, gaussianBlur } from './blur.ts';
export { resample, sampleBilinear, sampleCubic } from './sample.ts';

export type Raster = Readonly<{
  width: number;
  height: number;
  /** Values per pixel. */
  channels: number;
  /** length channels * width * height; read-only */
  data: Float32Array;
}>;

/** A raster of the given size, checked. Throws RangeError when `data` has another length. */
export function raster(
  width: number,
  height: number,
  channels: number,
  data: Float32Array = new Float32Array(width * height * channels),
): Raster {
  if (!(Number.isInteger(width) && Number.isInteger(height) && Number.isInteger(channels) && width > 0 && height > 0 && channels > 0))
    throw new RangeError(`a raster needs positive whole sizes, got ${width} x ${height} x ${channels}`);
  if (data.length !== width * height * channels)
    throw new RangeError(`a raster of ${width} x ${height} x ${channels} needs ${width * height * channels} values, got ${data.length}`);
  return { width, height, channels, data };
}

/** The pixels of a developed photograph as a plain raster of three channels; the values are shared, not copied. */
export function rasterOf(photo: Pick<LinearPhoto, 'width' | 'height' | 'data'>): Raster {
  return raster(photo.width, photo.height, 3, photo.data);
}

/** Relative luminance of linear RGB, 0..1 of its white: three channels in, one out. */
export function luminance(rgb: Pick<Raster, 'width' | 'height' | 'data'>): Raster {
  const { width, height, data } = rasterOf(rgb);
  return { width, height, channels: 1, data: luminanceRasterFromLinearSrgb(data) };
}

/** One channel of an interleaved raster, as a raster of its own. */
export function channelOf(image: Raster, channel: number): Raster {
  const { width, height, channels, data } = image;
  if (!(channel >= 0 && channel < channels)) throw new RangeError(`channel ${channel} of a raster with ${channels}`);
  const out = new Float32Array(width * height);
  for (let i = 0, j = channel; i < out.length; i++, j += channels) out[i] = data[j];
  return { width, height, channels: 1, data: out };
}

/**
 * Half the size by the mean of 2 x 2 blocks, so that a place (x, y) becomes exactly (x / 2, y / 2).
 * An odd last row or column has no partner and is left out; a side of 1 px stays 1 px.
 */
export function halve(image: Raster): Raster {
  const { width, height, channels, data } = image;
  const w = Math.max(1, width >> 1);
  const h = Math.max(1, height >> 1);
  const right = width > 1 ? channels : 0;
  const below = height > 1 ? width * channels : 0;
  const out = new Float32Array(w * h * channels);
  for (let y = 0, o = 0; y < h; y++) {
    for (let x = 0; x < w; x++) {
      let i = (2 * y * width + 2 * x) * channels;
      for (let c = 0; c < channels; c++, i++, o++) out[o] = 0.25 * (data[i] + data[i + right] + data[i + below] + data[i + below + right]);
    }
  }
  return { width: w, height: h, channels, data: out };
}
