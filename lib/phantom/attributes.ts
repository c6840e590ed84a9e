/**
 * The layout of what varies over the surface: one interleaved row of 32-bit numbers per vertex.
 */
/** Offsets of the interleaved values. `free` is the strand direction on hair (camera frame), the eye frame's place on eyes. */
export const ATTRIBUTE = {
  normal: 0,
  tangent: 3,
  u: 6,
  v: 7,
  melanin: 8,
  blood: 9,
  oil: 10,
  ambient: 11,
  lamp: 12,
  around: 16,
  fromRim: 17,
  free: 18,
} as const;
export const STRIDE = 21;
