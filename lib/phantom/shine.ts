/**
 * Mirror-like parts of reflected light: of skin and eyes, and of hair.
 *
 * Source  microfacet lobe: Walter et al., EGSR 2007 (GGX), with Schlick's Fresnel term (Computer Graphics Forum 13(3), 1994);
 *         hair: Kajiya & Kay, SIGGRAPH 1989. Unit vectors; `to` points towards the lamp, v towards the camera.
 */
import type { Direction } from './occlusion.ts';

/** Reflectance of skin and tear film seen head-on: refractive index 1.4. */
const HEAD_ON = 0.028;

/** Share of a lamp's light that a surface of this roughness sends to the camera; `nl` is the cosine to the lamp, above 0. */
export function lobe(
  nx: number,
  ny: number,
  nz: number,
  to: Direction,
  vx: number,
  vy: number,
  vz: number,
  nl: number,
  roughness: number,
): number {
  const hx = to[0] + vx;
  const hy = to[1] + vy;
  const hz = to[2] + vz;
  const size = Math.sqrt(hx * hx + hy * hy + hz * hz);
  const nh = Math.max(0, (nx * hx + ny * hy + nz * hz) / size);
  const nv = Math.max(0.05, nx * vx + ny * vy + nz * vz);
  const away = 1 - Math.max(0, (vx * hx + vy * hy + vz * hz) / size);
  const square = roughness * roughness;
  const a2 = square * square;
  const spread = nh * nh * (a2 - 1) + 1;
  const k = ((roughness + 1) * (roughness + 1)) / 8;
  const shadowing = 1 / ((nl * (1 - k) + k) * (nv * (1 - k) + k));
  const away2 = away * away;
  const fresnel = HEAD_ON + (1 - HEAD_ON) * away2 * away2 * away;
  // a2 / (pi spread^2) times pi, since the powers of lamps carry Lambert's pi
  return ((a2 / (spread * spread)) * fresnel * shadowing * nl) / 4;
}

/** Brightening of a strand that runs along (sx, sy, sz), as a factor of its own colour. */
export function strandShine(sx: number, sy: number, sz: number, to: Direction, vx: number, vy: number, vz: number): number {
  const hx = to[0] + vx;
  const hy = to[1] + vy;
  const hz = to[2] + vz;
  const along = sx * hx + sy * hy + sz * hz;
  const across2 = Math.max(0, 1 - (along * along) / (hx * hx + hy * hy + hz * hz));
  const p4 = across2 * across2 * across2 * across2;
  const p8 = p4 * p4;
  return 2.2 * p8 * p8 * p8;
}
