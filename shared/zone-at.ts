/** Which zone lies under a point of a photograph, from the landmarks a check found. Frame: px of the upright photograph, y down. */
import { placeOutline, ZONE_OUTLINES } from './zone-outlines.ts';
import { ZONE_IDS, type ZoneId } from './zones.ts';

/** Flat landmarks [x0, y0, ...]; null outside every zone. Where outlines touch, the smaller zone wins. */
export function zoneAt(x: number, y: number, landmarksPx: ArrayLike<number>): ZoneId | null {
  let best: { zone: ZoneId; area: number } | null = null;
  for (const zone of ZONE_IDS) {
    const loop = placeOutline(ZONE_OUTLINES[zone], landmarksPx, 2);
    if (!inside(x, y, loop)) continue;
    const area = Math.abs(signedArea(loop));
    if (best === null || area < best.area) best = { zone, area };
  }
  return best?.zone ?? null;
}

/** Even-odd rule on a closed loop of flat corners. */
function inside(x: number, y: number, loop: ArrayLike<number>): boolean {
  let odd = false;
  const n = loop.length / 2;
  for (let i = 0, j = n - 1; i < n; j = i++) {
    const [xi, yi, xj, yj] = [loop[2 * i]!, loop[2 * i + 1]!, loop[2 * j]!, loop[2 * j + 1]!];
    if (yi > y !== yj > y && x < ((xj - xi) * (y - yi)) / (yj - yi) + xi) odd = !odd;
  }
  return odd;
}

function signedArea(loop: ArrayLike<number>): number {
  let twice = 0;
  const n = loop.length / 2;
  for (let i = 0, j = n - 1; i < n; j = i++) twice += loop[2 * j]! * loop[2 * i + 1]! - loop[2 * i]! * loop[2 * j + 1]!;
  return twice / 2;
}
