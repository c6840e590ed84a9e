/**
 * Hair drawn back from the forehead: where it begins, how thick it lies.
 *
 * Frame   `around` counts vertices of the face's rim from under the chin, 0..36; `fromRim` is mm from the rim towards the back.
 */
import { tileChannel } from './texture-lookup.ts';

/** Distance of the hairline from the rim, mm, from the chin (0) to the forehead's middle (18); 999 where there is none. */
const HAIRLINE_MM = [999, 999, 999, 999, 999, 999, 999, 95, 62, 48, 40, 15, 17, 18, 14, 8, 5, 4, 4] as const;
const THICKNESS_MM = 8;

/** Distance of the hairline from the rim at a place around it, mm. */
export function hairlineAt(around: number): number {
  const n = around > 18 ? 36 - around : around;
  const i = Math.min(17, Math.max(0, Math.floor(n)));
  return HAIRLINE_MM[i] + (n - i) * (HAIRLINE_MM[i + 1] - HAIRLINE_MM[i]);
}

/** How far hair lifts the surface, mm. */
export function hairThickness(around: number, fromRim: number): number {
  const beyond = fromRim - hairlineAt(around);
  return beyond <= 0 ? 0 : THICKNESS_MM * (1 - Math.exp(-beyond / 14));
}

/**
 * Lays hair over the skin colour in `rgb`; returns its share of the sample, 0..1. `v` is the face's uv: under the chin, where no hair
 * grows, `around` jumps from 36 to 0.
 */
export function hairOverSkin(
  around: number,
  fromRim: number,
  v: number,
  tile: Float32Array,
  hair: readonly number[],
  rgb: number[],
): number {
  const beyond = v > 0.93 ? -99 : fromRim - hairlineAt(around);
  if (beyond < -14) return 0;
  // strands: fast across, slow along; fine ones, and locks of them
  const across = around * 95;
  const fine = tileChannel(tile, across * 0.9 + 0.1 * fromRim, fromRim * 0.13, 0);
  const lock =
    0.6 * tileChannel(tile, across * 0.8 + 0.3 * fromRim, fromRim * 0.3, 2) +
    0.4 * tileChannel(tile, across * 2.3, fromRim * 0.22 + 300, 3);
  const cover = Math.min(1, Math.max(0, 0.5 + beyond / 10 + 0.17 * fine + 0.14 * lock));
  const shade = Math.max(0.35, 1 + 0.14 * fine + 0.2 * lock);
  for (let c = 0; c < 3; c++) rgb[c] += cover * (hair[c] * shade - rgb[c]);
  return cover;
}
