import { describe, expect, it } from 'vitest';
import { type CourseInput, type CourseVisit, courseOf } from '#lib/series/course.ts';
import { daysBetween } from '#lib/series/days-between.ts';
import { recoveryAt } from '#lib/stats/recovery-fit.ts';
import type { Comparison, MetricResult } from '#shared/comparison.ts';
import { madeComparison } from '#tests/app/fixtures/made-comparison.ts';

const ZONE = 'midface-left';
const TREATED = '2026-03-01';
const day = (n: number): string => new Date(Date.parse(`${TREATED}T00:00:00Z`) + n * 86_400_000).toISOString().slice(0, 10);

/** A comparison whose zone carries these numbers. */
function measuring(volume: number, u = 0.06, change: Partial<Comparison> = {}): Comparison {
  const base = madeComparison();
  const metric = (value: number, mu: number): MetricResult => ({
    value,
    u: mu,
    ci95: [value - 1.96 * mu, value + 1.96 * mu],
    sdc: 0.3,
    p: 0.01,
    pHolm: 0.04,
    finding: 'beyond-error',
  });
  return {
    ...base,
    zones: base.zones.map((zone) =>
      zone.zone === ZONE ? { ...zone, metrics: { volumeMl: metric(volume, u), lightnessDelta: metric(3 * volume, 0.5) } } : zone,
    ),
    ...change,
  };
}

const followUp = (n: number, result: Comparison | null | undefined): CourseVisit => ({
  id: `v${n}`,
  on: day(n),
  label: `day ${n}`,
  comparison: result === undefined ? null : { id: `c${n}`, result },
});
const truth = { plateau: -0.4, start: -1.8, tauDays: 7 };
const input = (visits: readonly CourseVisit[], change: Partial<CourseInput> = {}): CourseInput => ({
  zone: ZONE,
  baseline: { id: 'b', on: day(-3), label: 'first' },
  visits,
  treatments: [{ id: 't', on: TREATED, zones: [ZONE], purpose: 'gel-dissolved' }],
  waterLossDays: 14,
  ...change,
});
const recovering = (days: readonly number[]) => days.map((n) => followUp(n, measuring(recoveryAt(truth, n))));

describe('law', () => {
  it('counts days from the dissolving treatment, and the baseline before it is negative', () => {
    const course = courseOf(input(recovering([16, 4])));
    expect(course.dayZero).toEqual({ on: TREATED, is: 'dissolved' });
    expect(course.baseline.day).toBe(-3);
    expect(course.points.map((point) => [point.day, point.state, point.early])).toEqual([
      [4, 'measured', true],
      [16, 'measured', false],
    ]);
    expect(course.waterLoss).toEqual([[0, 14]]);
  });

  it('finds the planted plateau of volume and of lightness from three follow-ups on', () => {
    const { recovery } = courseOf(input(recovering([3, 8, 16, 30])));
    for (const [metric, factor] of [
      ['volumeMl', 1],
      ['lightnessDelta', 3],
    ] as const) {
      const { fit } = recovery[metric];
      if (!fit.ok) throw new Error(fit.detail);
      expect(fit.value.plateau).toBeCloseTo(factor * truth.plateau, 5);
      expect(fit.value.tauDays).toBeCloseTo(truth.tauDays, 4);
    }
    expect(courseOf(input(recovering([4, 16]))).recovery.volumeMl.fit).toMatchObject({ ok: false, why: 'too-few' });
  });

  it('gives the shared baseline its due: the plateau is no surer than the baseline, the half of the variance', () => {
    const { fit } = courseOf(input(recovering(Array.from({ length: 20 }, (_, i) => 3 + 3 * i)))).recovery.volumeMl;
    if (!fit.ok) throw new Error(fit.detail);
    expect(fit.value.uPlateau).toBeGreaterThan(Math.sqrt(0.5) * 0.06);
  });

  it('begins the recovery anew after a second dissolving treatment, and joins overlapping windows', () => {
    const treatments: CourseInput['treatments'] = [
      { id: 't', on: TREATED, zones: [ZONE], purpose: 'gel-dissolved' },
      { id: 's', on: day(8), zones: [ZONE], purpose: 'gel-dissolved' },
    ];
    const course = courseOf(input(recovering([4, 12, 20, 30]), { treatments }));
    expect(course.waterLoss).toEqual([[0, 22]]);
    expect(course.recovery.volumeMl.fromDay).toBe(8);
    // Day 4 lies before the second treatment and is not counted.
    expect(courseOf(input(recovering([4, 12, 20]), { treatments })).recovery.volumeMl.fit).toMatchObject({ ok: false, why: 'too-few' });
  });

  it('keeps out of the fit, but not off the course, what could not be measured or trusted', () => {
    const untrusted = measuring(-1, 0.06, { control: { trusted: false, statement: 'The forehead moved.' } });
    const visits = [
      followUp(4, untrusted),
      followUp(8, null),
      followUp(12, undefined),
      followUp(16, madeComparison({ comparable: false })),
      followUp(20, measuring(-0.5)),
    ];
    const course = courseOf(input(visits));
    expect(course.points.map(({ state }) => state)).toEqual(['untrusted', 'pending', 'missing', 'not-comparable', 'measured']);
    expect(course.points.slice(0, 4).every(({ whyNot }) => (whyNot ?? '').length > 10)).toBe(true);
    expect(course.recovery.volumeMl.fit).toMatchObject({ ok: false, why: 'too-few' });
    expect(courseOf(input([followUp(4, measuring(-1))], { zone: 'jawline-left' })).points[0]!.state).toBe('not-assessable');
  });

  it('says when not all was measured by the same program', () => {
    const older = measuring(-1);
    const visits = [followUp(4, { ...older, versions: { ...older.versions, ebbline: '0.0.9' } }), followUp(8, measuring(-0.7))];
    expect(courseOf(input(visits)).mixedVersions).toBe(true);
    expect(courseOf(input(recovering([4, 8]))).mixedVersions).toBe(false);
  });

  it('counts from the baseline, and shades nothing, when no treatment is recorded', () => {
    const course = courseOf(input(recovering([4, 8, 20]), { treatments: [] }));
    expect(course.dayZero).toEqual({ on: day(-3), is: 'baseline' });
    expect(course.waterLoss).toEqual([]);
    expect(course.recovery.volumeMl.fit).toMatchObject({ ok: false, why: 'no-treatment' });
  });

  it('counts calendar days across a change of the clock', () => {
    expect(daysBetween('2026-03-28', '2026-03-30')).toBe(2);
    expect(daysBetween('2026-01-01', '2025-12-31')).toBe(-1);
    expect(() => daysBetween('2026-01-01', 'soon')).toThrow(RangeError);
  });
});
