/**
 * Matrices from other RGBs to linear sRGB.
 *
 * Source  Adobe RGB (1998): its specification, version 2005-05, section 4.3.1. Display P3: the primaries of SMPTE EG 432-1 with
 *         D65. Adaptation between D65 and D50: the linear Bradford matrix of ICC.1:2010, annex E.
 */
import { LINEAR_SRGB_FROM_XYZ, WHITE_D65 } from '#lib/colour/xyz.ts';
import { apply3, inverse3, type Triple, times3 } from './matrix3.ts';

/** x, y of red, green, blue. */
export type Primaries = readonly [number, number, number, number, number, number];
export const ADOBE_RGB_PRIMARIES: Primaries = [0.64, 0.33, 0.21, 0.71, 0.15, 0.06];
export const DISPLAY_P3_PRIMARIES: Primaries = [0.68, 0.32, 0.265, 0.69, 0.15, 0.06];

/** The white of the profile connection space, ICC.1:2010 clause 7.2.16. */
const WHITE_D50: Triple = [0.9642, 1, 0.8249];
const BRADFORD = Float64Array.of(0.8951, 0.2664, -0.1614, -0.7502, 1.7135, 0.0367, 0.0389, -0.0685, 1.0296);

/** Row-major 3x3 from linear RGB with these primaries, white D65, to linear sRGB. */
export function linearSrgbFromPrimaries(xy: Primaries): Float64Array {
  const columns = Float64Array.from({ length: 9 }, (_, i) => {
    const x = xy[2 * (i % 3)];
    const y = xy[2 * (i % 3) + 1];
    return [x / y, 1, (1 - x - y) / y][(i / 3) | 0];
  });
  const amounts = apply3(inverse3(columns), WHITE_D65);
  return times3(
    LINEAR_SRGB_FROM_XYZ,
    columns.map((value, i) => value * amounts[i % 3]),
  );
}

/**
 * Row-major 3x3 to linear sRGB from a profile's matrix (linear device RGB to XYZ of D50). Rows are scaled so that the
 * device's white is exactly (1, 1, 1); null when the matrix has no white to speak of.
 */
export function linearSrgbFromProfile(toXyzD50: Float64Array): Float64Array | null {
  const from = apply3(BRADFORD, WHITE_D50);
  const to = apply3(BRADFORD, WHITE_D65);
  const scaledCones = BRADFORD.map((value, i) => (value * to[(i / 3) | 0]) / from[(i / 3) | 0]);
  const d65FromD50 = times3(inverse3(BRADFORD), scaledCones);
  const raw = times3(LINEAR_SRGB_FROM_XYZ, times3(d65FromD50, toXyzD50));
  const white = apply3(raw, [1, 1, 1]);
  return white.every((value) => value > 0.5 && value < 2) ? raw.map((value, i) => value / white[(i / 3) | 0]) : null;
}
