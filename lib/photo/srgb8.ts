/**
 * Between linear light and 8-bit sRGB, whole rasters at a time.
 *
 * Source  the curve is `#lib/colour/srgb.ts` (IEC 61966-2-1); codes are the nearest ones, without dither.
 */
import { linearRasterFromSrgb8, srgb8RasterFromLinear } from '#lib/colour/srgb.ts';
import type { Raster } from './raster.ts';
import type { LinearPhoto, Srgb8Raster } from './types.ts';

/** Linear RGB 0..1 (three channels) to the nearest 8-bit sRGB codes; beyond the range is clamped, NaN becomes 0. */
export function srgb8FromLinear(photo: Pick<LinearPhoto, 'width' | 'height' | 'data'>): Srgb8Raster {
  const { width, height, data } = photo;
  if (data.length !== 3 * width * height)
    throw new RangeError(`${width} x ${height} RGB needs ${3 * width * height} values, got ${data.length}`);
  return { encoding: 'srgb8', width, height, data: srgb8RasterFromLinear(data) };
}

/** 8-bit sRGB codes to linear RGB, 0..1. */
export function linearFromSrgb8(picture: Srgb8Raster): Raster {
  return { width: picture.width, height: picture.height, channels: 3, data: linearRasterFromSrgb8(picture.data) };
}
