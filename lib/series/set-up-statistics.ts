/**
 * From pairs of repeats to a set-up's measurement error, by zone and metric and over all zones.
 *
 * Model   standard error of measurement and smallest detectable change from differences (repeat-error.ts); Bland & Altman's bias and
 *         limits from one pair of each person, so that the differences are independent; ICC(2,1) only where people with a real
 *         change between two visits were read more than once, since among unchanged faces there is nothing to tell apart.
 */
import { intraclass } from '#lib/stats/intraclass.ts';
import { limitsOfAgreement } from '#lib/stats/limits-of-agreement.ts';
import { METRIC_IDS, type MetricId } from '#shared/comparison.ts';
import type { RepeatReadings, SetUpProfile, ZoneRepeat } from '#shared/set-up-profile.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import { pooledRepeatError, type RepeatDifference, zoneRepeatError } from './repeat-error.ts';

/** `first` was taken before `second`. Numbers of repeats are unique within a person. */
export type RepeatPair = Readonly<{ person: number; first: number; second: number; readings: RepeatReadings }>;
/** A person's change from one visit to another, read by the pair of repeats number `reading` of both. */
export type ChangeReading = Readonly<{ person: number; reading: number; readings: RepeatReadings }>;

/** A magnitude has no sign, so no bias and no limits. */
const UNSIGNED: readonly MetricId[] = ['colourDelta'];

export function setUpStatistics(
  pairs: readonly RepeatPair[],
  changes: readonly ChangeReading[] = [],
): Pick<SetUpProfile, 'zones' | 'allZones'> {
  const zones: SetUpProfile['zones'] = {};
  const allZones: SetUpProfile['allZones'] = {};
  for (const metric of METRIC_IDS) {
    const byZone = ZONE_IDS.map((zone) => ({ zone, differences: differencesOf(pairs, zone, metric) }));
    const together = pooledRepeatError(byZone.map(({ differences }) => differences));
    if (!together) continue;
    allZones[metric] = together;
    for (const { zone, differences } of byZone) {
      const own = zoneRepeatError(differences, together);
      if (!own) continue;
      zones[zone] ??= {};
      zones[zone][metric] = {
        ...own,
        agreement: UNSIGNED.includes(metric) ? null : agreementOf(differences),
        reliability: reliabilityOf(changes, zone, metric),
      };
    }
  }
  return { zones, allZones };
}

function differencesOf(pairs: readonly RepeatPair[], zone: ZoneId, metric: MetricId): RepeatDifference[] {
  return pairs.flatMap(({ person, first, second, readings }) => {
    const reading = readings[zone]?.[metric];
    return reading ? [{ person, first, second, ...reading }] : [];
  });
}

function agreementOf(differences: readonly RepeatDifference[]): ZoneRepeat['agreement'] {
  const people = [...new Set(differences.map(({ person }) => person))];
  const one = people.map((person) => differences.find((pair) => pair.person === person)!.difference);
  // Only differences can be read: the first reading of each is taken as the rest.
  const agreed = limitsOfAgreement(new Float64Array(one.length), one);
  if (!agreed.ok) return null;
  const { n, bias, biasCi95, limits, lowerCi95, upperCi95 } = agreed.value;
  return { people: n, bias, biasCi95: [...biasCi95], limits: [...limits], lowerCi95: [...lowerCi95], upperCi95: [...upperCi95] };
}

/** Every person counts with the readings that all have. */
function reliabilityOf(changes: readonly ChangeReading[], zone: ZoneId, metric: MetricId): ZoneRepeat['reliability'] {
  const people = new Map<number, number[]>();
  for (const { person, readings } of changes.toSorted((a, b) => a.reading - b.reading)) {
    const reading = readings[zone]?.[metric];
    if (reading) people.set(person, [...(people.get(person) ?? []), reading.difference]);
  }
  const repeated = [...people.values()].filter((readings) => readings.length >= 2);
  const readings = Math.min(...repeated.map((row) => row.length));
  if (repeated.length < 2) return null;
  const agreed = intraclass(repeated.map((row) => row.slice(0, readings)));
  if (!agreed.ok) return null;
  const { value, ci95 } = agreed.value.agreement.single;
  return [value, ...ci95].every(Number.isFinite) ? { icc: value, ci95: [...ci95], people: repeated.length, readings } : null;
}
