/** Measurement error of a set-up from differences between repeats. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { pooledRepeatError, type RepeatDifference, repeatError, SHARED_FREEDOM } from '#lib/series/repeat-error.ts';
import { setUpStatistics } from '#lib/series/set-up-statistics.ts';
import { randomFrom } from '#lib/stats/random.ts';
import { repeatability } from '#lib/stats/repeatability.ts';
import { setUpProfileSchema } from '#shared/set-up-profile.ts';
import blandAltman from '#tests/oracles/bland-altman-1986.json' with { type: 'json' };
import shroutFleiss from '#tests/oracles/shrout-fleiss-1979.json' with { type: 'json' };
import { inZones, sampleSetUp } from './sample-set-up.ts';

/** Every pair of each person's readings, as differences. */
const differencesOf = (people: readonly (readonly number[])[], own = 0): RepeatDifference[] =>
  people.flatMap((readings, person) =>
    readings.flatMap((a, first) =>
      readings.slice(first + 1).map((b, k) => ({ person, first, second: first + 1 + k, difference: b - a, own })),
    ),
  );

describe('law', () => {
  it('differences say what the readings themselves would say', () => {
    const reading = fc.double({ min: -10, max: 10, noNaN: true });
    fc.assert(
      fc.property(fc.array(fc.array(reading, { minLength: 2, maxLength: 5 }), { minLength: 1, maxLength: 6 }), (people) => {
        const direct = repeatability(people);
        const error = repeatError(differencesOf(people))!;
        expect(direct.ok && direct.value.freedom).toBe(error.freedom);
        expect(error.sem).toBeCloseTo(direct.ok ? direct.value.sem : Number.NaN, 9);
        expect(error.semCi95[1]).toBeCloseTo(direct.ok ? direct.value.semCi95[1] : Number.NaN, 8);
      }),
    );
  });

  it('a pair that was left out costs freedom, and does not bend the figure', () => {
    const chance = randomFrom(11);
    const squares: number[] = [];
    for (let trial = 0; trial < 4000; trial++) {
      const pairs = differencesOf([[chance.normal(), chance.normal(), chance.normal(), chance.normal()]]);
      // 0-1 and 2-3 only: two groups, two degrees of freedom.
      const left = pairs.filter(({ first, second }) => (first === 0 && second === 1) || (first === 2 && second === 3));
      const error = repeatError(left)!;
      expect(error.freedom).toBe(2);
      squares.push(error.sem ** 2);
    }
    // The mean of 4000 variances with 2 degrees of freedom each has a standard error of 1 / sqrt(4000) = 0.016.
    expect(Math.abs(squares.reduce((sum, v) => sum + v, 0) / 4000 - 1)).toBeLessThan(4 * 0.016);
  });

  it('what a finding adds, with what a pair states, covers the true scatter in 97.5 % of studies', () => {
    const chance = randomFrom(12);
    const own = 0.5; // a pair states so much; in truth the difference scatters with sqrt(2)
    let covered = 0;
    const studies = 1000;
    for (let study = 0; study < studies; study++) {
      const people = Array.from({ length: 8 }, () => [chance.normal(), chance.normal()]);
      if (Math.hypot(repeatError(differencesOf(people, own))!.setUpSd, own) >= Math.SQRT2) covered++;
    }
    // Standard error sqrt(0.975 * 0.025 / 1000) = 0.005.
    expect(covered / studies).toBeGreaterThan(0.975 - 4 * 0.005);
    expect(covered / studies).toBeLessThan(0.975 + 4 * 0.005);
  });

  it('adds nothing where pairs state more than repeats show', () => {
    expect(repeatError(differencesOf([[0, 0.1]], 100))!.setUpSd).toBe(0);
  });

  it('zones that err alike count as one, zones that err apart as many', () => {
    const chance = randomFrom(13);
    const people = Array.from({ length: 12 }, () => [chance.normal(), chance.normal()]);
    const zone = differencesOf(people);
    const alike = pooledRepeatError(Array.from({ length: 20 }, () => zone))!;
    expect(alike.freedom).toBeCloseTo(12, 9);
    expect(alike.sem).toBeCloseTo(repeatError(zone)!.sem, 12);
    const apart = pooledRepeatError(Array.from({ length: 20 }, () => differencesOf(people.map(() => [chance.normal(), chance.normal()]))))!;
    expect(apart.freedom).toBeGreaterThan(60);
    expect(apart.freedom).toBeLessThan(12 * 20);
    expect(apart.pairs).toBe(12);
  });

  it('a zone with few repeats leans on all zones and says by how much; a restless zone is not hidden by quiet ones', () => {
    const study = (people: number) => {
      const chance = randomFrom(14);
      return setUpStatistics(
        Array.from({ length: people }, (_, person) => ({
          person,
          first: 0,
          second: 1,
          readings: { ...inZones(['chin'], 3 * chance.normal()), ...inZones(['midface-left', 'glabella'], chance.normal()) },
        })),
      ).zones;
    };
    const [few, many] = [study(4), study(36)];
    expect(few.chin!.volumeMl!.fromAllZones).toBeCloseTo(SHARED_FREEDOM / (4 + SHARED_FREEDOM), 12);
    expect(many.chin!.volumeMl!.fromAllZones).toBeCloseTo(0.1, 12);
    expect(many.chin!.volumeMl!.setUpSd).toBeGreaterThan(2 * many.glabella!.volumeMl!.setUpSd);
    // A difference scatters with 3 in the chin: the upper end of what 36 repeats say lies above that, and not far.
    expect(many.chin!.volumeMl!.setUpSd).toBeGreaterThan(3);
    expect(many.chin!.volumeMl!.setUpSd).toBeLessThan(3 * 1.6);
  });

  it('a magnitude has an error but no bias and no limits', () => {
    const { zones } = setUpStatistics(
      [0, 1, 2].map((person) => ({ person, first: 0, second: 1, readings: inZones(['chin'], 1, 0, ['colourDelta']) })),
    );
    expect(zones.chin!.colourDelta!.agreement).toBeNull();
    expect(zones.chin!.colourDelta!.sem).toBeCloseTo(Math.SQRT1_2, 12);
  });

  it('a profile survives JSON and its schema', () => {
    const profile = sampleSetUp();
    expect(setUpProfileSchema.parse(JSON.parse(JSON.stringify(profile)))).toEqual(profile);
  });
});

describe('oracle: Bland & Altman 1986, peak flow, two readings by each of two meters', () => {
  const study = (first: readonly number[], second: readonly number[]) =>
    setUpStatistics(
      first.map((value, person) => ({ person, first: 0, second: 1, readings: inZones(['chin'], second[person]! - value, 0) })),
    ).zones.chin!.volumeMl!;

  it('has their coefficient of repeatability, twice the standard deviation of a difference', () => {
    expect(2 * Math.SQRT2 * study(blandAltman.wright[0]!, blandAltman.wright[1]!).sem).toBeCloseTo(43.294, 3); // printed 43.2
  });
  it('has their bias and limits between the meters', () => {
    const { people, bias, limits } = study(blandAltman.mini[0]!, blandAltman.wright[0]!).agreement!;
    expect([people, bias.toFixed(1)]).toEqual([17, '-2.1']);
    // -2.118 -+ 1.96 x 38.765; they print two standard deviations, -79.7 and 75.5.
    expect(limits.map((limit) => limit.toFixed(1))).toEqual(['-78.1', '73.9']);
  });
});

describe('oracle: Shrout & Fleiss 1979, six targets and four judges', () => {
  const repeats = [{ person: 0, first: 0, second: 1, readings: inZones(['chin'], 1) }];
  it('has their ICC(2,1) when people are the targets and readings of their change the judges', () => {
    const changes = shroutFleiss.table2.flatMap((row, person) =>
      row.map((value, reading) => ({ person, reading, readings: inZones(['chin'], value) })),
    );
    const { reliability } = setUpStatistics(repeats, changes.toReversed()).zones.chin!.volumeMl!;
    expect([reliability!.icc.toFixed(2), reliability!.people, reliability!.readings]).toEqual(['0.29', 6, 4]);
    expect(reliability!.ci95.map((bound) => bound.toFixed(2))).toEqual(['0.02', '0.76']);
  });
  it('is not there without real changes to tell apart', () => {
    expect(setUpStatistics(repeats).zones.chin!.volumeMl!.reliability).toBeNull();
    const once = shroutFleiss.table2.map(([value], person) => ({ person, reading: 0, readings: inZones(['chin'], value!) }));
    expect(setUpStatistics(repeats, once).zones.chin!.volumeMl!.reliability).toBeNull();
  });
});

describe('refusal', () => {
  it('too few people for limits, and nothing at all', () => {
    const two = setUpStatistics([0, 1].map((person) => ({ person, first: 0, second: 1, readings: inZones(['chin'], 1) })));
    expect(two.zones.chin!.volumeMl!.agreement).toBeNull();
    expect(setUpStatistics([])).toEqual({ zones: {}, allZones: {} });
    expect(repeatError([])).toBeNull();
  });
  it('a repeat paired with itself is a mistake', () => {
    expect(() => repeatError([{ person: 0, first: 1, second: 1, difference: 0, own: 0 }])).toThrow(RangeError);
  });
});
