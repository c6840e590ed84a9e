/** The page's small words and bounds: options as typed, numbers of checks, names of files, keys, the axis of intervals. */
import { describe, expect, it } from 'vitest';
import { datesFault, optionWords, PLAIN_OPTIONS, requestOptions, scaleOf } from '#app/_bench/options.ts';
import { ZONE_GROUPS } from '#app/_bench/zone-groups.ts';
import { checkLabel, checkNumbers } from '#app/_parts/check-words.ts';
import { axisFor } from '#app/_result/axis.ts';
import { BLINK_RATES, LEAST_GAP_MS } from '#app/_result/use-blink.ts';
import { viewerAct } from '#app/_result/viewer-keys.ts';
import { zoneReader } from '#app/_result/zone-reader.ts';
import { CHECK_IDS, METRIC_IDS } from '#shared/comparison.ts';
import { LONGEST_NAME, plainName } from '#shared/upload.ts';
import { ZONE_IDS } from '#shared/zones.ts';
import { madeComparison } from './fixtures/made-comparison.ts';

describe('law', () => {
  it('the zone lists name every zone once', () => {
    expect(ZONE_GROUPS.flatMap((group) => group.zones).sort()).toEqual([...ZONE_IDS].sort());
  });

  it('every check has a label of its own', () => {
    expect(new Set(CHECK_IDS.map(checkLabel)).size).toBe(CHECK_IDS.length);
  });

  it('a check shows its number, unit and limits', () => {
    const limit = { caution: 5, refuse: 15, sense: 'at-most' } as const;
    expect(checkNumbers({ value: 8.25, unit: 'deg', limit })).toBe('8.25°; good is at most 5°; usable is at most 15°');
    expect(checkNumbers({ value: -0.4, unit: 'mm', limit: { caution: null, refuse: 0.2, sense: 'at-least' } })).toMatch(
      /^−0\.40?.mm; usable is at least 0\.20?.mm$/,
    );
    expect(checkNumbers({ value: null, unit: 'px', limit })).toBe('');
  });

  it('typed lengths are read with point or comma, and nothing else is a length', () => {
    const typed = (pupilsMm: string) => scaleOf({ scaleKind: 'interpupillary', pupilsMm, markerMm: '' });
    expect(typed('63.5')).toEqual({ kind: 'interpupillary', distanceMm: 63.5 });
    expect(typed('63,5')).toEqual({ kind: 'interpupillary', distanceMm: 63.5 });
    for (const wrong of ['', ' ', 'abc', '6', '635', '-63', '63.5 mm', 'NaN', 'Infinity', '0x40'])
      expect([wrong, typed(wrong)]).toEqual([wrong, null]);
    expect(scaleOf(PLAIN_OPTIONS)).toEqual({ kind: 'iris' });
  });

  it('what was left empty is left out of the request', () => {
    expect(requestOptions(PLAIN_OPTIONS, { kind: 'iris' })).toEqual({});
    const set = { ...PLAIN_OPTIONS, treatedZones: new Set(['midface-right', 'chin'] as const), treatedOn: '2026-09-01' };
    expect(requestOptions(set, { kind: 'marker', sideMm: 20 })).toEqual({
      treatedZones: ['chin', 'midface-right'],
      treatedOn: '2026-09-01',
      scale: { kind: 'marker', sideMm: 20 },
    });
    expect(optionWords(set)).toBe('2 zones; treated on 2026-09-01; scale from the iris');
    const own = { ...PLAIN_OPTIONS, setUp: 'a'.repeat(64) };
    expect(requestOptions(own, { kind: 'iris' })).toEqual({ setUp: 'a'.repeat(64) });
    expect(optionWords(own)).toMatch(/; error limits of your own set-up$/);
  });

  it('the axis holds every interval and is the same on both sides of no change', () => {
    const { zones } = madeComparison();
    for (const metric of METRIC_IDS) {
      const axis = axisFor(metric, zones);
      expect(axis.none - axis.low).toBeCloseTo(axis.high - axis.none, 9);
      expect(axis.place(axis.none)).toBeCloseTo(0.5, 9);
      const outside = zones.flatMap((zone) => {
        const result = zone.metrics[metric];
        return result && (result.ci95[0] < axis.low || result.ci95[1] > axis.high) ? [zone.zone] : [];
      });
      expect(outside).toEqual([]);
    }
  });

  it('blinking is never offered faster than three times a second', () => {
    expect(LEAST_GAP_MS * 3).toBeGreaterThan(1000);
    expect(BLINK_RATES.filter(({ everyMs }) => everyMs < LEAST_GAP_MS)).toEqual([]);
  });

  it('keys with Ctrl, Alt or Meta stay the browser\u2019s', () => {
    const plain = { ctrlKey: false, altKey: false, metaKey: false };
    expect(viewerAct({ key: '+', ...plain })).toEqual({ act: 'zoom', factor: 1.25 });
    for (const held of ['ctrlKey', 'altKey', 'metaKey'] as const) expect(viewerAct({ key: '+', ...plain, [held]: true })).toBeNull();
    expect(viewerAct({ key: 'q', ...plain })).toBeNull();
  });

  it('the reading under the pointer is that pixel\u2019s, at the corners too', () => {
    const fields = {
      displacementMm: Float32Array.of(-0.5, Number.NaN, 0.25, 1),
      lightness: Float32Array.of(1, 2, 3, 4),
      zoneIndex: Int8Array.of(0, -1, 2, ZONE_IDS.length - 1),
      trust: new Uint8Array(4),
    };
    const read = zoneReader(fields, { width: 2, height: 2 });
    expect(read([0, 0], 'displacement')).toEqual({ zone: ZONE_IDS[0], value: -0.5 });
    expect(read([0.99, 0.2], 'displacement')).toEqual({ zone: null, value: null });
    expect(read([0.2, 0.99], 'lightness')).toEqual({ zone: ZONE_IDS[2], value: 3 });
    expect(read([1, 1], 'displacement')).toEqual({ zone: ZONE_IDS.at(-1), value: 1 });
  });
});

describe('refusal', () => {
  it('days that are none, or in the wrong order, are named', () => {
    expect(datesFault({ treatedOn: '2026-02-30', afterOn: '' })).toMatch(/not a day/);
    expect(datesFault({ treatedOn: '2026-11-02', afterOn: '2026-11-01' })).toMatch(/dated before the treatment/);
    expect(datesFault({ treatedOn: '2026-11-02', afterOn: '2026-11-02' })).toBeNull();
    expect(datesFault({ treatedOn: '', afterOn: '' })).toBeNull();
  });

  it('a path, control characters or a name too long become a plain file name', () => {
    expect(plainName('C:\\Photos\\a.jpg')).toBe('a.jpg');
    expect(plainName('../../etc/passwd')).toBe('passwd');
    expect(plainName('a\u0000\u202e.jpg')).toBe('a.jpg');
    expect(['', '..', '.', '/', ' '].map(plainName)).toEqual(Array(5).fill('photograph'));
    const long = plainName(`${'x'.repeat(500)}.jpeg`);
    expect(long).toHaveLength(LONGEST_NAME);
    expect(long.endsWith('.jpeg')).toBe(true);
  });
});
