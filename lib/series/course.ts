/**
 * The course of one zone over the visits of a case: what each comparison with the baseline measured, against days since the treatment,
 * and where it seems to settle. Pure: from comparisons and treatments to numbers.
 *
 * Errors  Every point is a difference from the same baseline photographs, so all points share the baseline's error. A comparison's error
 *         is taken to come from both of its visits alike, so half of its variance is the baseline's: the correlation of two points is
 *         0.5. The recovery fit uses that covariance; the plateau is therefore never surer than the baseline. The shape of a course
 *         (what rose or fell between two follow-ups) is surer than the single intervals make it look, and its height no surer.
 *         The scale of a case that rests on the iris is a further common factor; it is inside every interval already.
 */

import { fitRecovery, LEAST_FOLLOW_UPS, type RecoveryFault, type RecoveryFit } from '#lib/stats/recovery-fit.ts';
import type { Treatment } from '#shared/case.ts';
import type { Comparison, DECIDING_METRICS, MetricResult } from '#shared/comparison.ts';
import type { Outcome } from '#shared/outcome.ts';
import type { ZoneId } from '#shared/zones.ts';
import { daysBetween } from './days-between.ts';

export type CourseMetric = (typeof DECIDING_METRICS)[number];

/** Correlation of the errors of two comparisons with one baseline, when both photographs of a pair err alike. */
export const SHARED_BASELINE = 0.5;

export type CourseVisit = Readonly<{
  id: string;
  on: string;
  label: string;
  /** With the baseline as its before; null when there is none. */
  comparison: Readonly<{ id: string; result: Comparison | null }> | null;
}>;

export type CourseInput = Readonly<{
  zone: ZoneId;
  baseline: Readonly<{ id: string; on: string; label: string }>;
  /** All other visits, any order. Those before the baseline are left out. */
  visits: readonly CourseVisit[];
  treatments: readonly Pick<Treatment, 'id' | 'on' | 'zones' | 'purpose'>[];
  waterLossDays: number;
}>;

/**
 * `measured`; `not-assessable` in this zone; `not-comparable` as a pair; `untrusted`, since the reference zones moved;
 * `pending`, being measured; `missing`, never compared with the baseline.
 */
export type CourseState = 'measured' | 'not-assessable' | 'not-comparable' | 'untrusted' | 'pending' | 'missing';
export type CoursePoint = Readonly<{
  visit: string;
  on: string;
  label: string;
  /** Since the course's day 0; negative before it. */
  day: number;
  state: CourseState;
  comparison: string | null;
  /** What was measured, also where it is untrusted. */
  metrics: Partial<Record<CourseMetric, MetricResult>>;
  /** Why there is no number, in a sentence; null where there is one. */
  whyNot: string | null;
  /** Within the days of lost water after a dissolving treatment: a comparison then is early. */
  early: boolean;
  /** Program, engine and models that measured it. */
  madeBy: string | null;
}>;

export type Course = Readonly<{
  zone: ZoneId;
  /** The day that is day 0, and what happened on it. */
  dayZero: Readonly<{ on: string; is: 'dissolved' | 'treated' | 'baseline' }>;
  baseline: Readonly<{ visit: string; on: string; label: string; day: number }>;
  /** Oldest first. */
  points: readonly CoursePoint[];
  treatments: readonly Readonly<{ id: string; day: number; purpose: Treatment['purpose']; here: boolean }>[];
  /** Days of expected water loss, from each dissolving treatment; overlapping ones joined. */
  waterLoss: readonly (readonly [from: number, to: number])[];
  /** From follow-ups after the last dissolving treatment; `fromDay` is its day, the fit's day 0. */
  recovery: Readonly<Record<CourseMetric, Readonly<{ fromDay: number; fit: Outcome<RecoveryFit, RecoveryFault | 'no-treatment'> }>>>;
  /** True when not all were measured by the same program, engine and models. */
  mixedVersions: boolean;
}>;

export function courseOf({ zone, baseline, visits, treatments, waterLossDays }: CourseInput): Course {
  const sorted = [...treatments].sort((a, b) => (a.on < b.on ? -1 : a.on > b.on ? 1 : 0));
  const dissolving = sorted.filter(({ purpose }) => purpose === 'gel-dissolved');
  const here = dissolving.filter(({ zones }) => zones.includes(zone));
  const deciding = here.length > 0 ? here : dissolving;
  const first = deciding.find(({ on }) => on >= baseline.on) ?? deciding.at(-1) ?? sorted.find(({ on }) => on >= baseline.on);
  const dayZero = first
    ? { on: first.on, is: deciding.length > 0 ? ('dissolved' as const) : ('treated' as const) }
    : { on: baseline.on, is: 'baseline' as const };
  const dayOf = (on: string): number => daysBetween(dayZero.on, on);
  const waterLoss = joined(dissolving.map(({ on }) => [dayOf(on), dayOf(on) + waterLossDays] as const));
  const points = visits
    .filter(({ id, on }) => id !== baseline.id && on >= baseline.on)
    .sort((a, b) => (a.on < b.on ? -1 : a.on > b.on ? 1 : 0))
    .map((visit): CoursePoint => {
      const day = dayOf(visit.on);
      return {
        visit: visit.id,
        on: visit.on,
        label: visit.label,
        day,
        comparison: visit.comparison?.id ?? null,
        early: waterLoss.some(([from, to]) => day >= from && day < to),
        madeBy: visit.comparison?.result ? madeBy(visit.comparison.result) : null,
        ...readingOf(zone, visit.comparison),
      };
    });
  const last = deciding.filter(({ on }) => on >= baseline.on).at(-1) ?? null;
  const fitOf = (metric: CourseMetric) => ({
    fromDay: last ? dayOf(last.on) : 0,
    fit: last
      ? recoveryOf(points, metric, dayOf(last.on))
      : ({
          ok: false,
          why: 'no-treatment',
          detail: 'No dissolving treatment after the baseline is recorded, so there is no day to count a recovery from.',
        } as const),
  });
  return {
    zone,
    dayZero,
    baseline: { visit: baseline.id, on: baseline.on, label: baseline.label, day: dayOf(baseline.on) },
    points,
    treatments: sorted.map(({ id, on, purpose, zones }) => ({ id, day: dayOf(on), purpose, here: zones.includes(zone) })),
    waterLoss,
    recovery: { volumeMl: fitOf('volumeMl'), lightnessDelta: fitOf('lightnessDelta') },
    mixedVersions: new Set(points.flatMap((point) => point.madeBy ?? [])).size > 1,
  };
}

/** Program, engine and models in one comparable string. */
export function madeBy({ versions }: Pick<Comparison, 'versions'>): string {
  const models = Object.entries(versions.models).sort(([a], [b]) => (a < b ? -1 : 1));
  return JSON.stringify([versions.ebbline, versions.landmarkEngine, models]);
}

function readingOf(zone: ZoneId, comparison: CourseVisit['comparison']): Pick<CoursePoint, 'state' | 'metrics' | 'whyNot'> {
  if (!comparison) return { state: 'missing', metrics: {}, whyNot: 'It has not been compared with the baseline yet.' };
  const { result } = comparison;
  if (!result) return { state: 'pending', metrics: {}, whyNot: 'It is not measured yet.' };
  if (!result.gate.comparable)
    return {
      state: 'not-comparable',
      metrics: {},
      whyNot:
        `These photographs cannot be compared with the baseline. ${result.gate.checks.find(({ verdict }) => verdict === 'refuse')?.message ?? ''}`.trim(),
    };
  const seen = result.zones.find((one) => one.zone === zone);
  const metrics = { ...pick(seen?.metrics.volumeMl, 'volumeMl'), ...pick(seen?.metrics.lightnessDelta, 'lightnessDelta') };
  if (!seen?.assessable || seen.finding === 'not-assessable' || Object.keys(metrics).length === 0)
    return { state: 'not-assessable', metrics: {}, whyNot: seen?.whyNot ?? 'This zone was not seen well enough.' };
  if (!result.control.trusted)
    return { state: 'untrusted', metrics, whyNot: `This comparison cannot be trusted. ${result.control.statement}` };
  return { state: 'measured', metrics, whyNot: null };
}

const pick = (result: MetricResult | undefined, metric: CourseMetric): Partial<Record<CourseMetric, MetricResult>> =>
  result ? { [metric]: result } : {};

function recoveryOf(points: readonly CoursePoint[], metric: CourseMetric, fromDay: number): Outcome<RecoveryFit, RecoveryFault> {
  const used = points.flatMap(({ state, day, metrics }) => {
    const result = metrics[metric];
    return state === 'measured' && day > fromDay && result && result.u > 0
      ? [{ day: day - fromDay, value: result.value, u: result.u }]
      : [];
  });
  if (used.length < LEAST_FOLLOW_UPS)
    return {
      ok: false,
      why: 'too-few',
      detail: `A recovery curve needs at least ${LEAST_FOLLOW_UPS} measured follow-ups after the treatment; there ${used.length === 1 ? 'is 1' : `are ${used.length}`}.`,
    };
  return fitRecovery({
    days: used.map(({ day }) => day),
    values: used.map(({ value }) => value),
    covariance: used.flatMap((a, i) => used.map((b, j) => (i === j ? a.u * a.u : SHARED_BASELINE * a.u * b.u))),
  });
}

function joined(windows: readonly (readonly [number, number])[]): (readonly [number, number])[] {
  const out: [number, number][] = [];
  for (const [from, to] of windows) {
    const last = out.at(-1);
    if (last && from <= last[1]) last[1] = Math.max(last[1], to);
    else out.push([from, to]);
  }
  return out;
}
