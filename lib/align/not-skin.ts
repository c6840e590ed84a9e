/**
 * Cells of the grid that show something other than skin: eyes, brows, the open mouth, nostrils.
 *
 * Margins are in mm because lashes, brow hairs and the shadow inside a nostril reach beyond the landmarks by about that much.
 */
import { BROW_LEFT, BROW_RIGHT, EYE_LEFT, EYE_RIGHT, LIPS_INNER, NOSTRIL_LEFT, NOSTRIL_RIGHT } from '#lib/face/features.ts';
import { pointInPolygon } from '#lib/geometry/polygon.ts';

const MARGINS_MM: readonly (readonly [loop: readonly number[], marginMm: number])[] = [
  [EYE_RIGHT, 3],
  [EYE_LEFT, 3],
  [BROW_RIGHT, 2.5],
  [BROW_LEFT, 2.5],
  [LIPS_INNER, 1],
  [NOSTRIL_RIGHT, 1.5],
  [NOSTRIL_LEFT, 1.5],
];

/**
 * 1 for each cell of a width x height grid of `stride` px cells whose centre is not skin, else 0.
 * `landmarks` are (478, 3) in px of the photograph.
 */
export function notSkin(landmarks: Float64Array, width: number, height: number, stride: number, mmPerPx: number): Uint8Array {
  const out = new Uint8Array(width * height);
  for (const [loop, marginMm] of MARGINS_MM) {
    const flat = Float64Array.from(loop.flatMap((i) => [landmarks[3 * i], landmarks[3 * i + 1]]));
    const margin = marginMm / mmPerPx;
    const box = boxOf(flat, margin);
    for (let j = Math.max(0, Math.floor(box.top / stride)); j < Math.min(height, box.bottom / stride); j++) {
      for (let i = Math.max(0, Math.floor(box.left / stride)); i < Math.min(width, box.right / stride); i++) {
        const x = (i + 0.5) * stride,
          y = (j + 0.5) * stride;
        if (pointInPolygon(flat, x, y) || distanceToLoop(flat, x, y) < margin) out[j * width + i] = 1;
      }
    }
  }
  return out;
}

function boxOf(flat: Float64Array, margin: number): { left: number; right: number; top: number; bottom: number } {
  let [left, right, top, bottom] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let i = 0; i < flat.length; i += 2) {
    left = Math.min(left, flat[i]);
    right = Math.max(right, flat[i]);
    top = Math.min(top, flat[i + 1]);
    bottom = Math.max(bottom, flat[i + 1]);
  }
  return { left: left - margin, right: right + margin, top: top - margin, bottom: bottom + margin };
}

function distanceToLoop(flat: Float64Array, x: number, y: number): number {
  let best = Infinity;
  for (let i = 0, j = flat.length - 2; i < flat.length; j = i, i += 2) {
    const ax = flat[j],
      ay = flat[j + 1];
    const dx = flat[i] - ax,
      dy = flat[i + 1] - ay;
    const t = Math.min(1, Math.max(0, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy || 1)));
    best = Math.min(best, Math.hypot(x - ax - t * dx, y - ay - t * dy));
  }
  return best;
}
