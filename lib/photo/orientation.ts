/**
 * From the picture as it lies in the file to the picture as it should be seen, and back.
 *
 * Frame   stored: px of the file; upright: px as seen; both x right, y down, first pixel centre (0.5, 0.5).
 * Source  CIPA DC-008 (Exif 2.32), tag 0x0112: the side of the scene on which the stored first row and column lie.
 */
import type { Crop } from './types.ts';

/** Exif's code: 1 is upright already; 6 wants a quarter turn clockwise. */
export type Orientation = 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8;

/** upright (u, v): first the axes change places, then an axis runs backwards. */
export type Turn = Readonly<{ swap: boolean; flipU: boolean; flipV: boolean }>;

const TURNS: Readonly<Record<Orientation, Turn>> = {
  1: { swap: false, flipU: false, flipV: false },
  2: { swap: false, flipU: true, flipV: false },
  3: { swap: false, flipU: true, flipV: true },
  4: { swap: false, flipU: false, flipV: true },
  5: { swap: true, flipU: false, flipV: false },
  6: { swap: true, flipU: true, flipV: false },
  7: { swap: true, flipU: true, flipV: true },
  8: { swap: true, flipU: false, flipV: true },
};

export type Size = Readonly<{ width: number; height: number }>;

export const turnOf = (orientation: Orientation): Turn => TURNS[orientation];

/** Any number a file may hold; what is not 1 to 8 counts as upright. */
export const asOrientation = (code: unknown): Orientation =>
  typeof code === 'number' && Number.isInteger(code) && code >= 1 && code <= 8 ? (code as Orientation) : 1;

/** The upright size of a stored size; its own inverse. */
export const turnedSize = ({ width, height }: Size, { swap }: Turn): Size => (swap ? { width: height, height: width } : { width, height });

/** A rectangle of the upright picture as a rectangle of the stored one. `upright` is the whole upright size. */
export function storedRect(rect: Crop, turn: Turn, upright: Size): Crop {
  const a = turn.flipU ? upright.width - rect.x - rect.width : rect.x;
  const b = turn.flipV ? upright.height - rect.y - rect.height : rect.y;
  return turn.swap ? { x: b, y: a, width: rect.height, height: rect.width } : { x: a, y: b, width: rect.width, height: rect.height };
}

/** A rectangle of the stored picture as a rectangle of the upright one. `upright` is the whole upright size. */
export function uprightRect(rect: Crop, turn: Turn, upright: Size): Crop {
  const [a, b, w, h] = turn.swap ? [rect.y, rect.x, rect.height, rect.width] : [rect.x, rect.y, rect.width, rect.height];
  return { x: turn.flipU ? upright.width - a - w : a, y: turn.flipV ? upright.height - b - h : b, width: w, height: h };
}

/**
 * Where the pixels of an upright raster lie in the stored one of size `stored`: pixel (u, v) is the stored pixel number
 * start + u * alongU + v * alongV.
 */
export function uprightWalk(stored: Size, turn: Turn): Readonly<{ start: number; alongU: number; alongV: number }> {
  const { width, height } = stored;
  const [stepA, countA, stepB, countB] = turn.swap ? [width, height, 1, width] : [1, width, width, height];
  return {
    start: (turn.flipU ? (countA - 1) * stepA : 0) + (turn.flipV ? (countB - 1) * stepB : 0),
    alongU: turn.flipU ? -stepA : stepA,
    alongV: turn.flipV ? -stepB : stepB,
  };
}
