/** Which cells of a view show a zone, and how much of the zone they are. */

import type { RelitPair } from '#lib/light/relight.ts';
import type { SkinCells } from '#lib/light/skin-cells.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';

/** Cells of `zone`, as positions in the cell list. */
export function cellsOfZone(cells: SkinCells, zone: ZoneId): number[] {
  const index = ZONE_IDS.indexOf(zone);
  const out: number[] = [];
  for (let k = 0; k < cells.count; k++) if (cells.zone[k] === index) out.push(k);
  return out;
}

export const areaOfCells = (cells: SkinCells, list: readonly number[]): number => list.reduce((sum, k) => sum + cells.areaMm2[k], 0);

/** The view that shows most picture area of the zone, and its cells; null when no view shows any. */
export function bestView(views: readonly RelitPair[], zone: ZoneId): { view: RelitPair; list: number[] } | null {
  let best: { view: RelitPair; list: number[] } | null = null;
  for (const view of views) {
    const list = cellsOfZone(view.cells, zone);
    const seen = list.length * (view.cells.stride * view.aligned.mmPerPx) ** 2;
    if (list.length && (!best || seen > best.list.length * (best.view.cells.stride * best.view.aligned.mmPerPx) ** 2))
      best = { view, list };
  }
  return best;
}

/** How many independent samples of light misfit a zone of this area holds: misfit is common over about 32 mm x 32 mm. */
export const independentParts = (areaMm2: number): number => Math.max(1, areaMm2 / 1000);
