/** Error limits from one's own repeats instead of the validation's. */
import { describe, expect, it } from 'vitest';
import { judge } from '#lib/compare/findings.ts';
import { repeatReadings, setUpErrorOf, setUpUse } from '#lib/compare/set-up.ts';
import { difference, type Readings, type ZoneReadings } from '#lib/measure/reading.ts';
import { SET_UP_ERROR } from '#lib/measure/set-up-error.ts';
import { setUpStatistics } from '#lib/series/set-up-statistics.ts';
import { randomFrom } from '#lib/stats/random.ts';
import type { SetUpProfile } from '#shared/set-up-profile.ts';
import { REFERENCE_ZONES, ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import { inZones, sampleSetUp } from '#tests/series/sample-set-up.ts';

/** Forty people; differences scatter by `sd` in the zones named, and pairs state `own` of it. */
function profileOf(sds: Readonly<Partial<Record<ZoneId, number>>>, own = 0.02): SetUpProfile {
  const chance = randomFrom(21);
  const pairs = Array.from({ length: 40 }, (_, person) => ({
    person,
    first: 0,
    second: 1,
    readings: Object.assign(
      {},
      ...Object.entries(sds).map(([zone, sd]) => inZones([zone as ZoneId], sd * chance.normal(), own, ['volumeMl'])),
    ) as ReturnType<typeof inZones>,
  }));
  return sampleSetUp({ people: 40, pairs: 40, ...setUpStatistics(pairs) });
}

const volume = (value: number, own: number): Readings => ({ volumeMl: difference(value, own) });

describe('law', () => {
  it('a zone takes its own figure, one never seen that of all zones, a metric never read the validation\u2019s', () => {
    const profile = profileOf({ chin: 0.1, 'midface-left': 0.4 });
    const error = setUpErrorOf(profile);
    expect(error('chin', 'volumeMl')).toBe(profile.zones.chin!.volumeMl!.setUpSd);
    expect(error('prejowl-left', 'volumeMl')).toBe(profile.allZones.volumeMl!.setUpSd);
    expect(error('chin', 'contourMm')).toBe(SET_UP_ERROR.contourMm);
    expect(setUpErrorOf(undefined)('chin', 'volumeMl')).toBe(SET_UP_ERROR.volumeMl);
  });

  it('the same reading is a finding in a quiet room and none in a restless one', () => {
    const reading: ZoneReadings = new Map([['chin', volume(-0.3, 0.02)]]);
    const quiet = judge(reading, [], setUpErrorOf(profileOf({ chin: 0.05 }))).get('chin')!.volumeMl!;
    const restless = judge(reading, [], setUpErrorOf(profileOf({ chin: 0.3 }))).get('chin')!.volumeMl!;
    expect([quiet.finding, restless.finding]).toEqual(['beyond-error', 'within-error']);
    expect(restless.sdc).toBeGreaterThan(4 * quiet.sdc);
    expect(restless.u).toBeGreaterThan(4 * quiet.u);
  });

  it('never detects less than repeats scatter by: the detectable change is that of the profile or more', () => {
    const profile = profileOf({ chin: 0.2 });
    const { sdc } = judge(new Map([['chin', volume(0, 0.02)]]), [], setUpErrorOf(profile)).get('chin')!.volumeMl!;
    expect(sdc).toBeGreaterThan(profile.zones.chin!.volumeMl!.sdc);
  });

  it('false alarms of unchanged faces stay at 5 % or less with a profile of thirty pairs', () => {
    // One zone, so that Holm's correction leaves p as it is. The pair states half of the scatter.
    const chance = randomFrom(22);
    let [alarms, trials] = [0, 0];
    for (let study = 0; study < 60; study++) {
      const pairs = Array.from({ length: 30 }, (_, person) => ({
        person,
        first: 0,
        second: 1,
        readings: inZones(['chin'], 0.2 * chance.normal(), 0.1),
      }));
      const error = setUpErrorOf(sampleSetUp(setUpStatistics(pairs)));
      for (let k = 0; k < 100; k++, trials++)
        if (judge(new Map([['chin', volume(0.2 * chance.normal(), 0.1)]]), [], error).get('chin')!.volumeMl!.finding === 'beyond-error')
          alarms++;
    }
    expect(alarms / trials).toBeLessThan(0.05);
    expect(alarms / trials).toBeGreaterThan(0.001); // the test is not asleep
  });

  it('nor do restless zones among quiet ones raise alarms when there are ten pairs only', () => {
    const chance = randomFrom(23);
    const zones = ZONE_IDS.filter((zone) => !REFERENCE_ZONES.includes(zone));
    const sds = zones.map((_, k) => (k < 3 ? 0.3 : 0.05));
    const scatter = (): [ZoneId, number][] => zones.map((zone, k) => [zone, sds[k]! * chance.normal()]);
    let [alarms, trials] = [0, 0];
    for (let study = 0; study < 40; study++) {
      const pairs = Array.from({ length: 10 }, (_, person) => ({
        person,
        first: 0,
        second: 1,
        readings: Object.fromEntries(scatter().map(([zone, value]) => [zone, { volumeMl: { difference: value, own: 0.02 } }])),
      }));
      const error = setUpErrorOf(sampleSetUp(setUpStatistics(pairs)));
      for (let k = 0; k < 25; k++, trials++) {
        const judged = judge(new Map(scatter().map(([zone, value]) => [zone, volume(value, 0.02)])), [], error);
        if ([...judged.values()].some(({ volumeMl }) => volumeMl!.finding === 'beyond-error')) alarms++;
      }
    }
    // Were each zone given the mean of all, it would be 0.10; the standard error of 0.05 among 1000 is 0.007.
    expect(alarms / trials).toBeLessThan(0.05);
  });

  it('readings come as a profile takes them: ratios by their logarithm, nothing that the fit holds', () => {
    const readings: ZoneReadings = new Map([
      ['forehead', { volumeMl: difference(0.001, 0.05), lightnessDelta: difference(0.4, 0.2) }],
      ['chin', { volumeMl: difference(-0.1, 0.06, 0.05), textureFineRatio: { value: 2, u: 0.4, uNull: 0.2, rest: 1 } }],
      ['philtrum', {}],
    ]);
    expect(repeatReadings(readings)).toEqual({
      forehead: { lightnessDelta: { difference: 0.4, own: 0.2 } },
      chin: { volumeMl: { difference: -0.1, own: 0.05 }, textureFineRatio: { difference: Math.LN2, own: 0.2 } },
      philtrum: {},
    });
  });

  it('the address of a profile changes with anything in it', () => {
    expect(setUpUse(sampleSetUp())).toEqual(setUpUse(sampleSetUp()));
    expect(setUpUse(sampleSetUp({ madeOn: '2026-11-21' })).sha256).not.toBe(setUpUse(sampleSetUp()).sha256);
  });
});
