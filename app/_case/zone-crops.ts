/**
 * Where one zone lies in the plates of several comparisons with one baseline, so that its crops can stand side by side. Plates are in the
 * frame of the before photograph, so with the same baseline photograph they show the same place. On the server.
 */
import { record } from '#app/_server/record.ts';
import { VIEWS, type View } from '#shared/comparison.ts';
import { type PlateInfo, plateFileName, plateInfoSchema } from '#shared/plates.ts';
import type { ZoneId } from '#shared/zones.ts';

/** Around the zone, as a share of its larger side: what a zone is, one sees beside its neighbours. */
const MARGIN = 0.35;

export type ZoneCrop = Readonly<{
  comparison: string;
  view: View;
  width: number;
  height: number;
  /** Square box round the zone, px of the plate. */
  box: Readonly<{ x: number; y: number; side: number }>;
  loops: readonly (readonly number[])[];
}>;

const MOST_KEPT = 1000;
const infos = new Map<string, PlateInfo | null>();

/** Plates never change. Null when the comparison has none of this view. */
async function plateInfo(comparison: string, view: View): Promise<PlateInfo | null> {
  const key = `${comparison} ${view}`;
  const known = infos.get(key);
  if (known !== undefined) return known;
  const bytes = await record().plateFile(comparison, plateFileName(view, 'info'));
  const info = bytes ? plateInfoSchema.parse(JSON.parse(new TextDecoder().decode(bytes))) : null;
  if (infos.size >= MOST_KEPT) infos.clear();
  infos.set(key, info);
  return info;
}

/** One view for all, the one that shows the zone in most of them; comparisons that do not show it there are left out. */
export async function zoneCrops(zone: ZoneId, comparisons: readonly string[]): Promise<ZoneCrop[]> {
  const byView = await Promise.all(
    VIEWS.map(async (view) => {
      const crops = await Promise.all(comparisons.map((comparison) => cropOf(zone, comparison, view)));
      return crops.flatMap((crop) => crop ?? []);
    }),
  );
  return byView.reduce((best, crops) => (crops.length > best.length ? crops : best), []);
}

async function cropOf(zone: ZoneId, comparison: string, view: View): Promise<ZoneCrop | null> {
  const info = await plateInfo(comparison, view);
  const loops = info?.zoneOutlines[zone];
  if (!info || !loops || loops.length === 0) return null;
  const xs = loops.flatMap((loop) => loop.filter((_, i) => i % 2 === 0));
  const ys = loops.flatMap((loop) => loop.filter((_, i) => i % 2 === 1));
  const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const side = Math.max(right - left, bottom - top) * (1 + 2 * MARGIN);
  const box = { x: (left + right - side) / 2, y: (top + bottom - side) / 2, side };
  return { comparison, view, width: info.width, height: info.height, box, loops };
}
