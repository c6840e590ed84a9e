import { describe, expect, it } from 'vitest';
import { plotSvg, ticksOf } from '#lib/report/plot-svg.ts';
import { quickBounds } from '#lib/report/validation-bounds.ts';
import { csvFromResults } from '#lib/report/validation-csv.ts';
import {
  calibration,
  changedVolumes,
  coverage,
  detection,
  diffusePower,
  falseAlarms,
  separation,
  zoneVolumes,
} from '#lib/report/validation-figures.ts';
import { validationGoals } from '#lib/report/validation-goals.ts';
import { validationPlots } from '#lib/report/validation-plots.ts';
import { validationReport } from '#lib/report/validation-report.ts';
import type { CaseResult, MeasuredZone } from '#lib/report/validation-result.ts';
import { randomFrom } from '#lib/stats/random.ts';
import type { ZoneId } from '#shared/zones.ts';

const ZONES: readonly ZoneId[] = ['midface-left', 'midface-right', 'chin', 'forehead'];
const chance = randomFrom(7);

/** A result as a measurement of standard deviation `sd` and stated error `u` would give it; beyond error past 1.96 u. */
function made(
  id: string,
  trueMl: number,
  { sd = 0.05, u = 0.05, views = 1, nuisance = 'all', concern = [] as readonly ZoneId[] } = {},
): CaseResult {
  const zones = ZONES.map((zone): MeasuredZone => {
    const truth = zone === 'midface-left' ? trueMl : 0;
    const value = truth + sd * chance.normal();
    const finding = Math.abs(value) > 1.96 * u ? 'beyond-error' : 'within-error';
    return {
      zone,
      reference: zone === 'forehead',
      finding: zone === 'forehead' ? 'within-error' : finding,
      metrics: { volumeMl: { value, u, low: value - 1.96 * u, high: value + 1.96 * u, uNull: u, p: 0.5, finding } },
    };
  });
  return {
    id,
    source: 'phantom',
    group: trueMl === 0 ? 'no-change' : 'one-zone',
    face: '1',
    tone: 0.5,
    views,
    nuisance,
    concern,
    changed: trueMl === 0 ? [] : ['midface-left'],
    nominalMl: trueMl,
    truth: trueMl === 0 ? {} : { 'midface-left': trueMl },
    pupilsMm: 63,
    comparable: true,
    refusedBy: [],
    controlTrusted: true,
    measuredPupilsMm: 64,
    scaleRelU: 0.04,
    zones,
    pooled: { value: trueMl, u, p: trueMl === 0 ? 0.5 : 0.001, beyond: trueMl !== 0 },
  };
}
const many = (count: number, trueMl: number, how: Parameters<typeof made>[2] = {}): CaseResult[] =>
  Array.from({ length: count }, (_, k) => made(`${trueMl}-${how?.nuisance ?? 'all'}-${k}`, trueMl, how));

describe('law', () => {
  it('leaves reference zones out, which the fit holds', () => {
    expect(zoneVolumes(many(1, 0)).map(({ zone }) => zone)).toEqual(['midface-left', 'midface-right', 'chin']);
  });

  it('has a cover of 95 % and a scatter of one when the error is stated right, and less when it is stated too small', () => {
    const right = zoneVolumes(many(700, 0));
    expect(coverage(right).share).toBeGreaterThan(0.935);
    expect(coverage(right).share).toBeLessThan(0.965);
    expect(calibration(right)?.rmsZ).toBeCloseTo(1, 1);
    const small = zoneVolumes(many(300, 0, { u: 0.025 }));
    expect(coverage(small).share).toBeLessThan(0.75);
    expect(calibration(small)?.rmsZ).toBeGreaterThan(1.8);
  });

  it('counts a comparison once, however many of its zones cry out', () => {
    const { any } = falseAlarms(many(400, 0));
    expect(any.share).toBeGreaterThan(1 - 0.95 ** 3 - 0.05);
    expect(any.share).toBeLessThan(1 - 0.95 ** 3 + 0.05);
  });

  it('does not count a finding of the wrong sign as found', () => {
    const wrong = many(20, 0.5, { sd: 0 }).map((result) => ({ ...result, nominalMl: -0.5 }));
    expect(detection(wrong).byVolume.count).toBe(0);
    expect(detection(wrong).zoneAtAll.count).toBe(20);
  });

  it('tells a loss from no change as the distance over the scatter says', () => {
    const area = separation(many(300, -0.05), many(300, 0))!.area;
    expect(area).toBeGreaterThan(0.71); // Phi(1 / sqrt 2) = 0.760
    expect(area).toBeLessThan(0.81);
  });

  it('shows the pooled test better than the best zone where it is', () => {
    const concern = ['midface-left', 'midface-right', 'chin'] as const;
    const power = diffusePower(many(40, -0.03, { concern }), many(40, 0, { concern }));
    expect(power.pooled.share).toBe(1);
    expect(power.bestZone.share).toBeLessThan(0.6);
    expect(power.pooledFalse.count).toBe(0);
  });

  it('refused pairs count for the gate and for nothing else', () => {
    const refused = many(5, -1).map((result) => ({ ...result, comparable: false, zones: [], pooled: null }));
    expect(detection(refused).byVolume.of).toBe(0);
    expect(changedVolumes(refused)).toEqual([]);
  });

  it('says met and not met by the figures', () => {
    const good = validationGoals([...many(40, 0, { u: 0.2 }), ...many(20, -1, { u: 0.1 })]);
    expect(good.find(({ what, views }) => views === 1 && what.startsWith('1.0 mL'))).toMatchObject({ met: true });
    expect(good.find(({ what, views }) => views === 1 && what.startsWith('False'))).toMatchObject({ met: true });
    const bad = validationGoals([...many(40, 0, { u: 0.02 }), ...many(20, -1, { u: 0.1, sd: 0.9 })]);
    expect(bad.find(({ what, views }) => views === 1 && what.startsWith('False'))).toMatchObject({ met: false });
    expect(bad.find(({ what, views }) => views === 1 && what.startsWith('Limits'))).toMatchObject({ met: false });
    expect(bad.find(({ views }) => views === 3)).toMatchObject({ met: null });
  });

  it('fails the short run when the measurement finds nothing any more', () => {
    const blind = [...many(10, 0, { u: 5 }), ...many(6, -1, { u: 5 })];
    expect(quickBounds(blind).find(({ what }) => what.includes('1.0 mL found'))).toMatchObject({ value: 0, holds: false });
  });

  it('a figure that cannot be had does not hold', () => {
    expect(quickBounds([]).filter(({ holds }) => holds)).toEqual([]);
  });
});

describe('law: what is written', () => {
  const results = [...many(12, 0), ...many(8, -1), ...many(6, -0.3, { nuisance: 'none' }), ...many(6, 0, { nuisance: 'none' })];

  it('links every plot it makes, and makes every plot it links', () => {
    const text = validationReport(results, { date: '2026-01-02', commit: 'abc', version: '0', cpu: 'x', cores: 2, node: '24', cases: 32 });
    const linked = [...text.matchAll(/\(validation\/([\w-]+\.svg)\)/g)].map(([, name]) => name);
    const drawn = Object.keys(validationPlots(results));
    expect(linked.filter((name) => !drawn.includes(name))).toEqual([]);
    expect(drawn.filter((name) => !linked.includes(name) && name !== 'agreement-painted.svg')).toEqual([]);
    expect(text).not.toMatch(/NaN|undefined|Infinity/);
  });

  it('has one row for each case and zone, all of one length', () => {
    const rows = csvFromResults(results).trim().split('\r\n');
    expect(rows.length).toBe(1 + results.length * ZONES.length);
    expect(new Set(rows.map((row) => row.split(',').length)).size).toBe(1);
  });

  it('draws ticks that are round, ascend and keep to the span', () => {
    expect(ticksOf([0, 1])).toEqual([0, 0.2, 0.4, 0.6, 0.8, 1]);
    expect(ticksOf([-2.3, 0.7]).every((tick) => tick >= -2.3 && tick <= 0.7)).toBe(true);
    const svg = plotSvg({
      title: 'a < b',
      xLabel: 'x',
      yLabel: 'y',
      x: [0, 1],
      y: [0, 1],
      series: [{ label: 's', kind: 'points', colour: 0, points: [[0.5, 0.5]] }],
    });
    expect(svg).toContain('a &lt; b');
    expect(svg.match(/<circle/g)?.length).toBe(2); // the point and its mark in the legend
  });
});
