import { describe, expect, it } from 'vitest';
import { intraclass } from '#lib/stats/intraclass.ts';
import { limitsOfAgreement } from '#lib/stats/limits-of-agreement.ts';
import { randomFrom } from '#lib/stats/random.ts';
import { repeatability, semFromReliability, smallestDetectableChange } from '#lib/stats/repeatability.ts';
import blandAltman from '#tests/oracles/bland-altman-1986.json' with { type: 'json' };
import shroutFleiss from '#tests/oracles/shrout-fleiss-1979.json' with { type: 'json' };

/** Peak expiratory flow, two readings by each of two meters. */
const [WRIGHT_1, WRIGHT_2] = blandAltman.wright;
const [MINI_1, MINI_2] = blandAltman.mini;

describe('oracle: Bland & Altman 1986, peak flow', () => {
  it('has their bias, standard deviation and limits', () => {
    const agreement = limitsOfAgreement(MINI_1, WRIGHT_1);
    if (!agreement.ok) throw new Error(agreement.detail);
    const { bias, deviation, limits, uBias, uLimit } = agreement.value;
    expect([bias.toFixed(1), deviation.toFixed(1)]).toEqual(['-2.1', '38.8']);
    // They print limits of two standard deviations, -79.7 and 75.5 from rounded figures; -79.6 and 75.4 unrounded.
    expect([(bias - 2 * deviation).toFixed(1), (bias + 2 * deviation).toFixed(1)]).toEqual(['-79.6', '75.4']);
    expect([limits[0].toFixed(1), limits[1].toFixed(1)]).toEqual(['-78.1', '73.9']);
    expect([uBias.toFixed(1), uLimit.toFixed(1)]).toEqual(['9.4', '16.3']);
  });

  it('has their coefficients of repeatability, twice the standard deviation of a difference', () => {
    const coefficient = (first: number[], second: number[]) => {
      const repeats = repeatability(first.map((value, i) => [value, second[i]]));
      if (!repeats.ok) throw new Error(repeats.detail);
      expect(repeats.value.freedom).toBe(17);
      return 2 * Math.SQRT2 * repeats.value.sem;
    };
    // Printed 43.2 and 56.4; recomputed from the table 43.29 and 56.32.
    expect(coefficient(WRIGHT_1, WRIGHT_2)).toBeCloseTo(43.294, 3);
    expect(coefficient(MINI_1, MINI_2)).toBeCloseTo(56.316, 3);
  });
});

describe('oracle: Shrout & Fleiss 1979, six targets and four judges', () => {
  const result = intraclass(shroutFleiss.table2);
  if (!result.ok) throw new Error(result.detail);
  const { oneWay, agreement, consistency, meanSquares, semAgreement, semConsistency } = result.value;
  const forms = [oneWay.single, agreement.single, consistency.single, oneWay.average, agreement.average, consistency.average];

  it('has their mean squares and the six forms', () => {
    expect([meanSquares.between, meanSquares.within, meanSquares.judges, meanSquares.residual].map((m) => m.toFixed(2))).toEqual([
      '11.24',
      '6.26',
      '32.49',
      '1.02',
    ]);
    expect(forms.map((form) => form.value.toFixed(2))).toEqual(['0.17', '0.29', '0.71', '0.44', '0.62', '0.91']);
  });

  it("has the intervals and probabilities of R's psych::ICC", () => {
    expect(forms.map((form) => form.ci95[0].toFixed(3))).toEqual(['-0.133', '0.019', '0.342', '-0.884', '0.071', '0.676']);
    expect(forms.map((form) => form.ci95[1].toFixed(2))).toEqual(['0.72', '0.76', '0.95', '0.91', '0.93', '0.99']);
    expect([oneWay.single.p.toFixed(6), agreement.single.p.toFixed(6)]).toEqual(['0.164769', '0.000135']);
  });

  it('parts the error of one rating with and without the judges', () => {
    expect([semAgreement.toFixed(4), semConsistency.toFixed(4)]).toEqual(['2.5028', '1.0097']);
  });
});

describe('oracle: published smallest detectable change', () => {
  it('turns a SEM of 5.09 into 14.11', () => expect(smallestDetectableChange(5.09).toFixed(2)).toBe('14.11'));
});

describe('law', () => {
  it('recovers a planted SEM, with an interval that covers it as often as it says', () => {
    const random = randomFrom(51);
    let inside = 0;
    let squares = 0;
    const TRIALS = 1500;
    for (let trial = 0; trial < TRIALS; trial++) {
      // Unequal numbers of repeats.
      const subjects = Array.from({ length: 8 }, (_, i) => {
        const truth = 100 * random.normal();
        return Array.from({ length: 2 + (i % 3) }, () => truth + 3 * random.normal());
      });
      const repeats = repeatability(subjects);
      if (!repeats.ok) throw new Error(repeats.detail);
      const { sem, semCi95 } = repeats.value;
      squares += sem * sem;
      if (semCi95[0] <= 3 && 3 <= semCi95[1]) inside++;
    }
    expect(Math.sqrt(squares / TRIALS)).toBeCloseTo(3, 1);
    expect(Math.abs(inside / TRIALS - 0.95)).toBeLessThan(4 * Math.sqrt((0.95 * 0.05) / TRIALS));
  });

  it('keeps a repeat without change below the smallest detectable change 95 times in 100', () => {
    const random = randomFrom(52);
    const sdc = smallestDetectableChange(2);
    const DRAWS = 20_000;
    let alarms = 0;
    for (let i = 0; i < DRAWS; i++) if (Math.abs(2 * random.normal() - 2 * random.normal()) > sdc) alarms++;
    expect(Math.abs(alarms / DRAWS - 0.05)).toBeLessThan(4 * Math.sqrt((0.05 * 0.95) / DRAWS));
  });

  it('has the three forms in order when judges differ, and alike when they do not', () => {
    const random = randomFrom(53);
    const rate = (bias: number) =>
      Array.from({ length: 60 }, () => {
        const truth = 2 * random.normal();
        return [0, 1, 2].map((judge) => truth + bias * judge + random.normal());
      });
    const biased = intraclass(rate(3));
    const fair = intraclass(rate(0));
    if (!biased.ok || !fair.ok) throw new Error('refused');
    expect(biased.value.agreement.single.value).toBeLessThan(biased.value.consistency.single.value - 0.2);
    expect(fair.value.agreement.single.value).toBeCloseTo(fair.value.consistency.single.value, 1);
    expect(semFromReliability(Math.sqrt(5), 0.8)).toBeCloseTo(1, 12);
  });

  it('is 1 when judges agree in full', () => {
    const perfect = intraclass([
      [1, 1],
      [2, 2],
      [5, 5],
    ]);
    if (!perfect.ok) throw new Error(perfect.detail);
    expect(perfect.value.oneWay.single.value).toBe(1);
    expect(perfect.value.agreement.single.value).toBe(1);
    expect(perfect.value.agreement.single.ci95.every(Number.isFinite)).toBe(true);
    expect(perfect.value.consistency.average.value).toBe(1);
  });

  it('changes sign with the order of the methods', () => {
    const one = limitsOfAgreement(MINI_1, WRIGHT_1);
    const other = limitsOfAgreement(WRIGHT_1, MINI_1);
    if (!one.ok || !other.ok) throw new Error('refused');
    expect(one.value.bias).toBeCloseTo(-other.value.bias, 12);
    expect(one.value.limits[0]).toBeCloseTo(-other.value.limits[1], 12);
    expect(one.value.trend?.value).toBeCloseTo(-(other.value.trend?.value ?? Number.NaN), 12);
  });
});

describe('refusal', () => {
  it('too-few', () => {
    expect(repeatability([[1], [2]])).toMatchObject({ ok: false, why: 'too-few' });
    expect(limitsOfAgreement([1, 2], [1, 2])).toMatchObject({ ok: false, why: 'too-few' });
    expect(intraclass([[1, 2]])).toMatchObject({ ok: false, why: 'too-few' });
  });
  it('no-spread', () =>
    expect(
      intraclass([
        [2, 2],
        [2, 2],
      ]),
    ).toMatchObject({ ok: false, why: 'no-spread' }));
  it('no-spread, where judges differ from each other and rate all subjects alike', () =>
    expect(
      intraclass([
        [1, 2],
        [1, 2],
        [1, 2],
      ]),
    ).toMatchObject({ ok: false, why: 'no-spread' }));
});
