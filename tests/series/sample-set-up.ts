/** A profile for tests: three people, one pair each, one number for each metric in every zone. */
import { setUpStatistics } from '#lib/series/set-up-statistics.ts';
import type { MetricId } from '#shared/comparison.ts';
import { type RepeatReadings, SET_UP_SCHEMA, type SetUpProfile, setUpProfileSchema } from '#shared/set-up-profile.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';

/** The same reading in all `zones`. */
export const inZones = (
  zones: readonly ZoneId[],
  difference: number,
  own = 0.1,
  metrics: readonly MetricId[] = ['volumeMl', 'lightnessDelta'],
): RepeatReadings =>
  Object.fromEntries(zones.map((zone) => [zone, Object.fromEntries(metrics.map((metric) => [metric, { difference, own }]))]));

export function sampleSetUp(part: Partial<SetUpProfile> = {}): SetUpProfile {
  const differences = [0.3, -0.2, 0.25];
  return setUpProfileSchema.parse({
    schema: SET_UP_SCHEMA,
    name: 'Room 2',
    madeOn: '2026-11-20',
    people: 3,
    pairs: 3,
    leftOut: [],
    cameras: ['Test One'],
    views: ['frontal'],
    scaleSource: 'iris',
    minutesApart: { median: 4, most: 6 },
    versions: { ebbline: '0.1.0', landmarkEngine: '0.10.35', models: { face: 'c'.repeat(64) } },
    ...setUpStatistics(differences.map((difference, person) => ({ person, first: 0, second: 1, readings: inZones(ZONE_IDS, difference) }))),
    ...part,
  });
}
