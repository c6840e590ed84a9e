/**
 * Cells of the grid where something lies before the skin: zones named by the caller, and what surrounds the eyes between them.
 */
import { IRIS_LEFT, IRIS_RIGHT } from '#lib/face/features.ts';
import { zoneOfPoint } from '#lib/face/zone-map.ts';
import type { ZoneId } from '#shared/zones.ts';
import type { SurfaceMap } from './surface-map.ts';

/** A lens reaches this far from the pupil; skin within it that belongs to no zone goes with the zones behind it, mm. */
const LENS_REACH_MM = 30;

/** (cells) 1 where `skipped` is, or where the cell is hidden. `landmarks` (478, 3) px. */
export function withHidden(
  skipped: Uint8Array,
  map: SurfaceMap,
  landmarks: ArrayLike<number>,
  mmPerPx: number,
  hidden: readonly ZoneId[],
): Uint8Array {
  if (hidden.length === 0) return skipped;
  const pupils = [IRIS_RIGHT[0], IRIS_LEFT[0]].map((i) => [landmarks[3 * i], landmarks[3 * i + 1]]);
  const reach = LENS_REACH_MM / mmPerPx;
  return skipped.map((value, cell) => {
    if (value || map.triangle[cell] < 0) return value;
    const zone = zoneOfPoint(map.uv[2 * cell], map.uv[2 * cell + 1]);
    if (zone) return hidden.includes(zone) ? 1 : 0;
    const [x, y] = [((cell % map.width) + 0.5) * map.stride, (Math.floor(cell / map.width) + 0.5) * map.stride];
    return pupils.some(([px, py]) => Math.hypot(x - px, y - py) < reach) ? 1 : 0;
  });
}
