/** What lies under a place of the picture: its zone, and the value of the map that is shown. */
import type { PlateInfo } from '#shared/plates.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import { fieldOf, isChange, type MapChoice } from './map-choice.ts';
import type { Fields } from './use-plate.ts';

/** A place as parts of the picture's width and height, 0..1. */
export type Place = readonly [number, number];
export type Reading = Readonly<{ zone: ZoneId | null; value: number | null }>;

export function zoneReader(
  fields: Fields,
  { width, height }: Pick<PlateInfo, 'width' | 'height'>,
): (place: Place, map: MapChoice) => Reading {
  return ([x, y], map) => {
    const column = Math.max(0, Math.min(width - 1, Math.floor(x * width)));
    const row = Math.max(0, Math.min(height - 1, Math.floor(y * height)));
    const at = row * width + column;
    const value = isChange(map) ? fieldOf(fields, map)[at]! : map === 'trust' ? (100 * fields.trust[at]!) / 255 : Number.NaN;
    return { zone: ZONE_IDS[fields.zoneIndex[at] ?? -1] ?? null, value: Number.isNaN(value) ? null : value };
  };
}

/** The smallest box around loops of x, y pairs. */
export function boxOf(loops: readonly (readonly number[])[]): { left: number; top: number; right: number; bottom: number } {
  const box = { left: Infinity, top: Infinity, right: -Infinity, bottom: -Infinity };
  for (const loop of loops)
    for (let i = 0; i + 1 < loop.length; i += 2) {
      box.left = Math.min(box.left, loop[i]!);
      box.right = Math.max(box.right, loop[i]!);
      box.top = Math.min(box.top, loop[i + 1]!);
      box.bottom = Math.max(box.bottom, loop[i + 1]!);
    }
  return box;
}
