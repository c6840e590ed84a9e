/**
 * Relative luminance Y of linear sRGB: 0 black, 1 the white of the encoding.
 *
 * Source  the middle row of the matrix in `xyz.ts`: about 0.2126 R + 0.7152 G + 0.0722 B.
 */
import { XYZ_FROM_LINEAR_SRGB } from './xyz.ts';

const [R, G, B] = XYZ_FROM_LINEAR_SRGB.subarray(3, 6) as unknown as [number, number, number];

export const luminanceFromLinearSrgb = (r: number, g: number, b: number): number => R * r + G * g + B * b;

/** `rgb` is (n, 3) linear; the result is (n). */
export function luminanceRasterFromLinearSrgb(rgb: Float32Array): Float32Array {
  if (rgb.length % 3 !== 0) throw new RangeError(`rgb must hold whole triples, got length ${rgb.length}`);
  const luminance = new Float32Array(rgb.length / 3);
  for (let i = 0, p = 0; i < luminance.length; i++, p += 3) luminance[i] = R * rgb[p] + G * rgb[p + 1] + B * rgb[p + 2];
  return luminance;
}
