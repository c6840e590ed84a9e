/** The values of options in the user's words: scale, zones, days, ports. Each throws UsageError with what would fit. */
import { daySchema, type ScaleHintRequest, scaleHintSchema } from '#shared/job.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import { UsageError } from './command.ts';

const SCALE_FORMS = 'Write iris, pupils:63.5 (mm between the pupils) or marker:20 (mm of a side of the printed marker)';

/** `iris`, `pupils:63.5`, `marker:20`. */
export function scaleValue(text: string): ScaleHintRequest {
  const match = /^(?:(iris)|(pupils|marker):(\d+(?:\.\d+)?))$/.exec(text);
  if (!match) throw new UsageError(`--scale "${text}" is not understood. ${SCALE_FORMS}.`);
  const length = Number(match[3]);
  const asked = match[1]
    ? { kind: 'iris' }
    : match[2] === 'pupils'
      ? { kind: 'interpupillary', distanceMm: length }
      : { kind: 'marker', sideMm: length };
  const scale = scaleHintSchema.safeParse(asked);
  if (scale.success) return scale.data;
  throw new UsageError(
    match[2] === 'pupils'
      ? `A pupil distance of ${length} mm is not a person's; it lies between 40 and 85 mm.`
      : `A marker with sides of ${length} mm cannot be used; its sides may be 2 to 200 mm.`,
  );
}

/** Zone ids, by words or commas. */
export function zonesValue(texts: readonly string[]): ZoneId[] {
  const zones = texts
    .flatMap((text) => text.split(','))
    .map((text) => text.trim())
    .filter(Boolean);
  const known: readonly string[] = ZONE_IDS;
  const strange = zones.find((zone) => !known.includes(zone));
  if (strange !== undefined) throw new UsageError(`There is no zone "${strange}". The zones are: ${ZONE_IDS.join(', ')}.`);
  return [...new Set(zones as ZoneId[])];
}

/** `2026-09-01`, a day that exists. */
export function dayValue(option: string, text: string): string {
  const day = daySchema.safeParse(text);
  if (!day.success) throw new UsageError(`${option} "${text}" is no day. Write it as year-month-day, such as 2026-09-01.`);
  return day.data;
}

export function portValue(text: string): number {
  const port = Number(text);
  if (!Number.isInteger(port) || port < 1 || port > 65_535)
    throw new UsageError(`--port "${text}" is no port. It is a whole number from 1 to 65535.`);
  return port;
}
