/**
 * How near the camera stood, from what the fitted perspective says, what EXIF says and what is usual.
 *
 * Unit    1 / m; 0 is infinitely far. A camera at 1 m has 1.
 * Model   The landmark engine has learnt faces, not cameras: it shows only part of a change of perspective. So the
 *         nearness that fits the landmarks best is a reading on a dull scale,
 *           reading = READING_PER_NEARNESS * nearness + what is this person's own shape,
 *         and is combined with the prior by their precisions. One picture settles little; a pair settles more, because the
 *         person's own shape is the same in both (see perspective.ts).
 * Source  0.7: the four pictures of one person taken from about 15 to 60 cm (webmorphR.stim, CC-0), whose face sizes give the
 *         distances up to one factor, and six rendered heads at 0.3 to 2.4 m, agree on it within 0.05.
 */
import type { Measured } from '#shared/units.ts';

/** Most portraits are taken from between 0.7 m and 3 m, pictures at arm's length from 0.4 m. */
export const USUAL_NEARNESS_PER_M: Measured = { value: 0.9, u: 0.5 };
export const READING_PER_NEARNESS = 0.7;
/** Spread of the reading between people photographed alike: 22 studio portraits. Per m. */
const READING_SD = 0.36;
/** Spread of face size between people, relative: distance from a known focal length takes the canonical size for the person's. */
const FACE_SIZE_REL_U = 0.06;

/** `readingPerM` is the nearness of the free fit. `focal` as in camera-guess.ts; `pxPerMm` is the face's size. */
export function nearnessFrom(readingPerM: number, pxPerMm: number, focal: Readonly<{ px: number; relU: number }> | null): Measured {
  const seen = { value: readingPerM / READING_PER_NEARNESS, u: READING_SD / READING_PER_NEARNESS };
  const told = focal && { value: (1000 * pxPerMm) / focal.px, relU: Math.hypot(focal.relU, FACE_SIZE_REL_U) };
  const prior = told ? { value: told.value, u: told.value * told.relU } : USUAL_NEARNESS_PER_M;
  const [wp, ws] = [1 / prior.u ** 2, 1 / seen.u ** 2];
  const value = (wp * prior.value + ws * seen.value) / (wp + ws);
  return { value: Math.max(NEAREST_TO_ZERO, value), u: 1 / Math.sqrt(wp + ws) };
}

/** 20 m: keeps focal length and distance finite. */
const NEAREST_TO_ZERO = 0.05;
