/**
 * The terms that a difference of light may have on one face.
 *
 * Frame   normals in the viewer frame; image places scaled so that the face spans about -1..1.
 * Model   log of (light after / light before) as a smooth function of the normal (16 harmonics: the ratio of two nine-term
 *         lights is not itself of nine terms) and of the place in the picture (fall-off of a near lamp, vignetting).
 *         Each term has a prior standard deviation in natural log units; high orders get little, because diffuse light has little
 *         (Basri & Jacobs 2003: 0.8 % of the energy lies beyond the second order).
 */

import type { SkinCells } from './skin-cells.ts';
import { harmonicsInto } from './spherical-harmonics.ts';

const HARMONICS = 16;
const SLOW = 5;
export const LIGHT_TERMS = HARMONICS + SLOW;

/** Prior standard deviation of each term's amplitude, natural log units. */
export const LIGHT_PRIOR_SD: readonly number[] = [
  ...Array<number>(1).fill(3),
  ...Array<number>(3).fill(1.5),
  ...Array<number>(5).fill(0.4),
  ...Array<number>(7).fill(0.08),
  0.08,
  0.08,
  0.05,
  0.05,
  0.05,
];

/** (count, LIGHT_TERMS) */
export function lightBasis(cells: SkinCells): Float64Array {
  const out = new Float64Array(cells.count * LIGHT_TERMS);
  const frame = imageFrame(cells);
  for (let k = 0; k < cells.count; k++)
    lightTermsInto(
      out,
      k * LIGHT_TERMS,
      cells.normal[3 * k],
      cells.normal[3 * k + 1],
      cells.normal[3 * k + 2],
      (cells.at[k] % cells.width) * frame.step - frame.x,
      Math.floor(cells.at[k] / cells.width) * frame.step - frame.y,
    );
  return out;
}

/** Writes the terms for one normal and one scaled place. */
export function lightTermsInto(out: Float64Array, at: number, nx: number, ny: number, nz: number, x: number, y: number): void {
  harmonicsInto(out, at, nx, ny, nz, HARMONICS);
  out[at + HARMONICS] = x;
  out[at + HARMONICS + 1] = y;
  out[at + HARMONICS + 2] = x * x - y * y;
  out[at + HARMONICS + 3] = 2 * x * y;
  out[at + HARMONICS + 4] = x * x + y * y;
}

export type ImageFrame = Readonly<{ step: number; x: number; y: number }>;

/** How a cell index becomes a scaled place: index * step - centre. */
export function imageFrame(cells: SkinCells): ImageFrame {
  let [left, right, top, bottom] = [Infinity, -Infinity, Infinity, -Infinity];
  for (const cell of cells.at) {
    const x = cell % cells.width,
      y = Math.floor(cell / cells.width);
    left = Math.min(left, x);
    right = Math.max(right, x);
    top = Math.min(top, y);
    bottom = Math.max(bottom, y);
  }
  const half = Math.max(1, right - left, bottom - top) / 2;
  return { step: 1 / half, x: (left + right) / 2 / half, y: (top + bottom) / 2 / half };
}
