/**
 * Which pixels of a photograph show the face, and which of them bare skin.
 *
 * Frame   px of the landmarks; a pixel belongs to a loop when its centre does.
 */
import { BROW_LEFT, BROW_RIGHT, EYE_LEFT, EYE_RIGHT, FACE_OVAL, LIPS_OUTER, NOSTRIL_LEFT, NOSTRIL_RIGHT } from './features.ts';

export const OUTSIDE = 0;
/** Eyes, brows, lips, nostrils. */
export const FEATURE = 1;
export const SKIN = 2;

export type SkinMask = Readonly<{
  /** Rectangle of the photograph that holds the face, px. */
  left: number;
  top: number;
  width: number;
  height: number;
  /** (width * height) OUTSIDE, FEATURE or SKIN. */
  data: Uint8Array;
}>;

/** The outline is drawn in by this share towards its middle: hair, ears and background begin there. */
const DRAWN_IN = 0.08;
/** Features are let out by this share: lashes, lip border, shadow of the nostril. */
const LET_OUT = 0.25;

/** `landmarks` (478, 3) px; `width` and `height` are the photograph's. */
export function skinMask(landmarks: ArrayLike<number>, width: number, height: number): SkinMask {
  const oval = loopOf(landmarks, FACE_OVAL, 1 - DRAWN_IN);
  const [left, right] = extent(oval, 0, width);
  const [top, bottom] = extent(oval, 1, height);
  const mask = { left, top, width: right - left, height: bottom - top };
  const data = new Uint8Array(mask.width * mask.height);
  fill(data, mask, oval, SKIN, OUTSIDE);
  for (const feature of [EYE_RIGHT, EYE_LEFT, BROW_RIGHT, BROW_LEFT, LIPS_OUTER, NOSTRIL_RIGHT, NOSTRIL_LEFT])
    fill(data, mask, loopOf(landmarks, feature, 1 + LET_OUT), FEATURE, SKIN);
  return { ...mask, data };
}

function loopOf(landmarks: ArrayLike<number>, indices: readonly number[], size: number): Float64Array {
  let x = 0;
  let y = 0;
  for (const i of indices) {
    x += landmarks[3 * i] / indices.length;
    y += landmarks[3 * i + 1] / indices.length;
  }
  return Float64Array.from(indices.flatMap((i) => [x + size * (landmarks[3 * i] - x), y + size * (landmarks[3 * i + 1] - y)]));
}

/** Whole px, within the photograph and at least one wide. */
function extent(loop: Float64Array, axis: number, size: number): [number, number] {
  let low = Infinity;
  let high = -Infinity;
  for (let i = axis; i < loop.length; i += 2) {
    low = Math.min(low, loop[i]);
    high = Math.max(high, loop[i]);
  }
  const first = Math.min(size - 1, Math.max(0, Math.floor(low)));
  return [first, Math.max(first + 1, Math.min(size, Math.ceil(high)))];
}

/** Writes `value` where the loop holds the pixel's centre and `over` stands, row by row (even-odd rule). */
function fill(data: Uint8Array, mask: Omit<SkinMask, 'data'>, loop: Float64Array, value: number, over: number): void {
  const crossings: number[] = [];
  for (let row = 0; row < mask.height; row++) {
    const y = mask.top + row + 0.5;
    crossings.length = 0;
    for (let i = 0, j = loop.length - 2; i < loop.length; j = i, i += 2) {
      const [yi, yj] = [loop[i + 1], loop[j + 1]];
      if (yi > y !== yj > y) crossings.push(loop[i] + ((y - yi) / (yj - yi)) * (loop[j] - loop[i]));
    }
    crossings.sort((a, b) => a - b);
    for (let k = 0; k + 1 < crossings.length; k += 2) {
      const from = Math.max(0, Math.ceil(crossings[k] - 0.5) - mask.left);
      const to = Math.min(mask.width, Math.ceil(crossings[k + 1] - 0.5) - mask.left);
      for (let at = row * mask.width + from; at < row * mask.width + to; at++) if (data[at] === over) data[at] = value;
    }
  }
}
