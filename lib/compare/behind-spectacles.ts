/**
 * Zones that can't be judged because spectacles lie before or beside them in one of the photographs.
 *
 * Model   A frame that is found at all hides the skin below the lids, the ridge of the nose and the temples. Other zones, such as the midface under a
 *         large lens, count when a line of the frame runs through them, or so little above that its shadow does.
 */
import { CELL_MM } from '#lib/face/eye-frame.ts';
import { spectaclesOf } from '#lib/face/spectacles.ts';
import type { Face } from '#lib/face/types.ts';
import { zoneAt } from '#shared/zone-at.ts';
import type { ZoneId } from '#shared/zones.ts';

const ALWAYS: readonly ZoneId[] = ['infraorbital-left', 'infraorbital-right', 'nasal-dorsum', 'temple-left', 'temple-right'];
/** Shadows fall this far below the frame, mm. */
const SHADOW_MM = 3;
/** A line that only touches a zone runs through it over less than this, mm. */
const CROSSES_MM = 3;

/** Each zone with the sentence that says why; empty when every face is bare. Faces know by their gate whether they wear spectacles. */
export function behindSpectacles(befores: readonly Face[], afters: readonly Face[]): ReadonlyMap<ZoneId, string> {
  const worn = [befores.filter(wearsSpectacles), afters.filter(wearsSpectacles)];
  const faces = worn.flat();
  if (faces.length === 0) return new Map();
  const when = worn[0].length === 0 ? 'after' : worn[1].length === 0 ? 'before' : 'both';
  const photographs = when === 'both' ? 'photographs before and after' : `${faces.length === 1 ? 'photograph' : 'photographs'} ${when}`;
  const why = `Spectacles lie before or beside this zone in the ${photographs}: lenses bend and dim the skin, frames hide and shade it. Take them off and retake.`;
  return new Map([...ALWAYS, ...faces.flatMap(crossedZones)].map((zone) => [zone, why]));
}

export const wearsSpectacles = ({ checks }: Pick<Face, 'checks'>): boolean =>
  checks.some(({ id, verdict }) => id === 'spectacles' && verdict !== 'pass');

function crossedZones(face: Face): ZoneId[] {
  const { linesPx } = spectaclesOf(face);
  const places = face.landmarks.filter((_, k) => k % 3 < 2);
  const along = (belowMm: number): Map<ZoneId, number> => {
    const lengths = new Map<ZoneId, number>();
    for (let k = 0; k < linesPx.length; k += 2) {
      const zone = zoneAt(linesPx[k], linesPx[k + 1] + belowMm / face.scale.mmPerPx, places);
      if (zone) lengths.set(zone, (lengths.get(zone) ?? 0) + CELL_MM);
    }
    return lengths;
  };
  return [along(0), along(SHADOW_MM)].flatMap((lengths) => [...lengths].filter(([, mm]) => mm >= CROSSES_MM).map(([zone]) => zone));
}
