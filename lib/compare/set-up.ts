/**
 * Where the error of a finding comes from, beyond what a pair tells of itself: the user's own repeats, or the validation.
 * And the way back: what a pair of repeats tells a profile.
 */
import type { ZoneReadings } from '#lib/measure/reading.ts';
import { SET_UP_ERROR } from '#lib/measure/set-up-error.ts';
import { canonicalJson } from '#shared/canonical-json.ts';
import type { MetricId } from '#shared/comparison.ts';
import type { RepeatReadings, SetUpProfile, SetUpUsed } from '#shared/set-up-profile.ts';
import { REFERENCE_ZONES, type ZoneId } from '#shared/zones.ts';
import { sha256Hex } from './sha256.ts';

/** Standard deviation of the difference, to be added in quadrature; of ratios, of the logarithm. */
export type SetUpError = (zone: ZoneId, metric: MetricId) => number;

export const validationError: SetUpError = (_zone, metric) => SET_UP_ERROR[metric];

/** A zone that the repeats never showed takes the figure of all zones, a metric that they never gave the validation's. */
export function setUpErrorOf(profile: SetUpProfile | undefined): SetUpError {
  if (!profile) return validationError;
  return (zone, metric) => profile.zones[zone]?.[metric]?.setUpSd ?? profile.allZones[metric]?.setUpSd ?? validationError(zone, metric);
}

export function setUpUse(profile: SetUpProfile): SetUpUsed {
  const { name, people, pairs, madeOn } = profile;
  return { name, sha256: sha256Hex(canonicalJson(profile)), people, pairs, madeOn };
}

/** Metrics that the fit itself holds near rest on reference zones: shown there, but no evidence of anything. */
export const HELD_METRICS: readonly MetricId[] = ['volumeMl', 'depthMeanMm', 'depthPeakMm'];

/** Readings as a profile takes them: ratios as logarithms, and nothing that the fit holds near rest. */
export function repeatReadings(readings: ZoneReadings): RepeatReadings {
  const zones = [...readings].map(([zone, metrics]) => {
    const held = REFERENCE_ZONES.includes(zone) ? HELD_METRICS : [];
    const kept = Object.entries(metrics).filter(([metric]) => !held.includes(metric as MetricId));
    return [
      zone,
      Object.fromEntries(
        kept.map(([metric, { value, uNull, rest }]) => [metric, { difference: rest === 1 ? Math.log(value) : value, own: uNull }]),
      ),
    ];
  });
  return Object.fromEntries(zones) as RepeatReadings;
}
