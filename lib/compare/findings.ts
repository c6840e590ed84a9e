/**
 * From readings to findings: what is beyond error, within error, or can't be judged.
 *
 * Model   a change is beyond error when it exceeds the smallest detectable change, SDC = 1.96 * sqrt(2) * SEM, where
 *         sqrt(2) * SEM is the scatter of the difference when nothing changed, and when its probability survives Holm's correction.
 *         The family of the deciding metrics is zones x metrics together; each describing metric is a family of its own.
 *         Zones named beforehand are one family, all other zones another.
 * Source  COSMIN, BMC Med Res Methodol 20:293, 2020, doi:10.1186/s12874-020-01179-5; Holm, Scand. J. Statist. 6:65-70, 1979.
 */

import type { Reading, Readings, ZoneReadings } from '#lib/measure/reading.ts';
import { holm } from '#lib/stats/multiplicity.ts';
import { normalTail } from '#lib/stats/normal.ts';
import { DECIDING_METRICS, type Finding, METRIC_IDS, type MetricId, type MetricResult, type Quantity } from '#shared/comparison.ts';
import type { ZoneId } from '#shared/zones.ts';
import { HELD_METRICS, type SetUpError, validationError } from './set-up.ts';

export const Z95 = 1.959963984540054;
const LEVEL = 0.05;

type Judged = { zone: ZoneId; metric: MetricId; result: Omit<MetricResult, 'pHolm' | 'finding'>; beyondSdc: boolean };

export const twoSided = (z: number): number => Math.min(1, 2 * normalTail(Math.abs(z)));

export function quantityOf(value: number, u: number): Quantity {
  return { value: tidy(value), u: tidy(u), ci95: [tidy(value - Z95 * u), tidy(value + Z95 * u)] };
}

/** Judges the readings of reference zones: the same tests, less the metrics that the fit holds. */
export function judgeReferences(
  readings: ZoneReadings,
  error: SetUpError = validationError,
): Map<ZoneId, Partial<Record<MetricId, MetricResult>>> {
  const free = new Map(
    [...readings].map(([zone, metrics]) => [
      zone,
      Object.fromEntries(Object.entries(metrics).filter(([id]) => !HELD_METRICS.includes(id as MetricId))) as Readings,
    ]),
  );
  const judged = judge(free, [], error);
  for (const [zone, metrics] of readings)
    for (const id of HELD_METRICS) {
      const reading = metrics[id];
      if (reading) judged.get(zone)![id] = { ...judgedOf(zone, id, reading, error).result, pHolm: 1, finding: 'not-assessable' };
    }
  return judged;
}

/** Judges every reading. `concern` zones form their own family; `error` is what the set-up adds to each reading's own. */
export function judge(
  readings: ZoneReadings,
  concern: readonly ZoneId[],
  error: SetUpError = validationError,
): Map<ZoneId, Partial<Record<MetricId, MetricResult>>> {
  const all: Judged[] = [];
  for (const [zone, metrics] of readings)
    for (const metric of METRIC_IDS) if (metrics[metric]) all.push(judgedOf(zone, metric, metrics[metric], error));
  const out = new Map<ZoneId, Partial<Record<MetricId, MetricResult>>>([...readings.keys()].map((zone) => [zone, {}]));
  const deciding = (metric: MetricId): boolean => (DECIDING_METRICS as readonly MetricId[]).includes(metric);
  const families = new Map<string, Judged[]>();
  for (const item of all) {
    const key = `${concern.includes(item.zone)} ${deciding(item.metric) ? 'deciding' : item.metric}`;
    families.set(key, [...(families.get(key) ?? []), item]);
  }
  for (const family of families.values()) {
    const corrected = holm(family.map((item) => item.result.p));
    family.forEach((item, i) => {
      const beyond = item.beyondSdc && corrected[i] < LEVEL;
      out.get(item.zone)![item.metric] = { ...item.result, pHolm: tidy(corrected[i]), finding: beyond ? 'beyond-error' : 'within-error' };
    });
  }
  return out;
}

/** A zone's finding: beyond error when a deciding metric is. */
export function findingOf(metrics: Partial<Record<MetricId, MetricResult>>): Finding {
  const deciding = DECIDING_METRICS.flatMap((id) => metrics[id] ?? []);
  if (deciding.length === 0) return 'not-assessable';
  return deciding.some((result) => result.finding === 'beyond-error') ? 'beyond-error' : 'within-error';
}

function judgedOf(zone: ZoneId, metric: MetricId, reading: Reading, error: SetUpError): Judged {
  const floor = error(zone, metric);
  if (reading.rest === 1) {
    const log = Math.log(reading.value);
    const uLog = Math.hypot(reading.u / reading.value, floor);
    const uNull = Math.hypot(reading.uNull, floor);
    const limit = Math.exp(Z95 * uNull);
    return {
      zone,
      metric,
      beyondSdc: Math.abs(log) > Z95 * uNull,
      result: {
        value: tidy(reading.value),
        u: tidy(reading.value * uLog),
        ci95: [tidy(Math.exp(log - Z95 * uLog)), tidy(Math.exp(log + Z95 * uLog))],
        sdc: tidy(limit - 1),
        p: tidy(twoSided(log / uNull)),
      },
    };
  }
  const u = Math.hypot(reading.u, floor);
  const uNull = Math.hypot(reading.uNull, floor);
  const p = reading.p === undefined ? twoSided(reading.value / uNull) : Math.max(reading.p, twoSided(reading.value / uNull));
  return {
    zone,
    metric,
    beyondSdc: Math.abs(reading.value) > Z95 * uNull,
    result: { ...quantityOf(reading.value, u), sdc: tidy(Z95 * uNull), p: tidy(p) },
  };
}

/** Six significant digits, and none beyond the sixth decimal: what differs further down is arithmetic, not skin. */
export function tidy(value: number): number {
  const rounded = Math.abs(value) < 5e-7 ? 0 : Number(value.toPrecision(6));
  return Object.is(rounded, -0) ? 0 : rounded;
}
