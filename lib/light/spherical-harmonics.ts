/**
 * Real spherical harmonics up to third order, for light on a convex, diffuse surface.
 *
 * Frame   viewer: x to the right of the image, y up, z towards the viewer; directions are unit vectors.
 * Source  Basri & Jacobs, IEEE TPAMI 25(2):218-233, 2003; Ramamoorthi & Hanrahan, SIGGRAPH 2001,
 *         doi:10.1145/383259.383317. Orthonormal over the sphere, Condon-Shortley phase left out.
 */

/** Terms up to and including order 0, 1, 2, 3. */
export const TERMS_BY_ORDER = [1, 4, 9, 16] as const;

const C0 = Math.sqrt(1 / (4 * Math.PI));
const C1 = Math.sqrt(3 / (4 * Math.PI));
const C2 = Math.sqrt(15 / (4 * Math.PI));
const C20 = Math.sqrt(5 / (16 * Math.PI));
const C22 = Math.sqrt(15 / (16 * Math.PI));
const C33 = Math.sqrt(35 / (32 * Math.PI));
const C32 = Math.sqrt(105 / (4 * Math.PI));
const C31 = Math.sqrt(21 / (32 * Math.PI));
const C30 = Math.sqrt(7 / (16 * Math.PI));
const C32B = Math.sqrt(105 / (16 * Math.PI));

/**
 * Zonal coefficients of the clamped cosine, by order: pi, 2 pi / 3, pi / 4, 0. Odd orders above one vanish and the
 * even ones fall fast, which is why nine terms carry 99.2 % of the energy of any light on a diffuse convex body.
 */
export const LAMBERT_KERNEL = [Math.PI, (2 * Math.PI) / 3, Math.PI / 4, 0] as const;

/** Writes the first `terms` (1, 4, 9 or 16) harmonics of direction (x, y, z) into `out` from `at`. */
export function harmonicsInto(out: Float64Array, at: number, x: number, y: number, z: number, terms: number): void {
  out[at] = C0;
  if (terms < 4) return;
  out[at + 1] = C1 * x;
  out[at + 2] = C1 * y;
  out[at + 3] = C1 * z;
  if (terms < 9) return;
  out[at + 4] = C2 * x * y;
  out[at + 5] = C2 * y * z;
  out[at + 6] = C20 * (3 * z * z - 1);
  out[at + 7] = C2 * x * z;
  out[at + 8] = C22 * (x * x - y * y);
  if (terms < 16) return;
  out[at + 9] = C33 * y * (3 * x * x - y * y);
  out[at + 10] = C32 * x * y * z;
  out[at + 11] = C31 * y * (5 * z * z - 1);
  out[at + 12] = C30 * z * (5 * z * z - 3);
  out[at + 13] = C31 * x * (5 * z * z - 1);
  out[at + 14] = C32B * z * (x * x - y * y);
  out[at + 15] = C33 * x * (x * x - 3 * y * y);
}
