import fc from 'fast-check';
import { medianAbsoluteDeviation as theirMad, quantile as theirQuantile } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { median, medianAbsoluteDeviation, NORMAL_FROM_MAD, quantile, quantiles, weightedMedian } from '#lib/stats/quantile.ts';
import { randomFrom } from '#lib/stats/random.ts';
import { sampleDeviation } from '#lib/stats/sum.ts';

const values = fc.array(fc.double({ min: -1e6, max: 1e6, noNaN: true }), { minLength: 1, maxLength: 60 });

describe('oracle: R, quantile(c(1, 2, 3, 4, 10), type = 7)', () => {
  it('gives 1, 2, 3, 4, 10 at the quarters and 1.4 at a tenth', () => {
    expect(quantiles([10, 3, 1, 4, 2], [0, 0.25, 0.5, 0.75, 1])).toEqual([1, 2, 3, 4, 10]);
    expect(quantile([10, 3, 1, 4, 2], 0.1)).toBeCloseTo(1.4, 14);
  });
});

describe('oracle: simple-statistics', () => {
  it('has the same median absolute deviation', () => {
    fc.assert(
      fc.property(values, (list) => {
        expect(medianAbsoluteDeviation(list)).toBeCloseTo(theirMad(list), 6);
      }),
      { seed: 21 },
    );
  });

  it('has the same median, which no definition of quantiles disputes', () => {
    fc.assert(
      fc.property(values, (list) => {
        expect(median(list)).toBeCloseTo(theirQuantile(list, 0.5), 6);
      }),
      { seed: 22 },
    );
  });
});

describe('law', () => {
  it('selects what sorting gives, at every size and also among many equal values', () => {
    const random = randomFrom(9);
    const wrong: string[] = [];
    for (const size of [1, 2, 3, 10, 601, 5000]) {
      for (const kinds of [3, 1e9]) {
        const list = Float64Array.from({ length: size }, () => random.integer(kinds));
        for (const p of [0, 0.01, 0.3, 0.5, 0.999, 1]) {
          if (quantile(list, p) !== quantiles(list, [p])[0]) wrong.push(`${size} ${kinds} ${p}`);
        }
      }
    }
    expect(wrong).toEqual([]);
  });

  it('turns the deviation of normal numbers into their standard deviation', () => {
    const draws = Float64Array.from({ length: 40_000 }, randomFrom(10).normal);
    expect(NORMAL_FROM_MAD * medianAbsoluteDeviation(draws)).toBeCloseTo(sampleDeviation(draws), 1);
  });

  it('has a weighted median that equal weights make the median, and that whole weights make repetition', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: -50, max: 50 }), fc.integer({ min: 0, max: 5 })), { minLength: 1, maxLength: 20 }),
        (pairs) => {
          fc.pre(pairs.some(([, weight]) => weight > 0));
          const list = pairs.map(([value]) => value);
          const repeated = pairs.flatMap(([value, weight]) => new Array<number>(weight).fill(value));
          expect(
            weightedMedian(
              list,
              pairs.map(([, weight]) => weight),
            ),
          ).toBe(median(repeated));
        },
      ),
      { seed: 23 },
    );
  });

  it('leaves its input in the order it came', () => {
    const list = Object.freeze([3, 1, 2]);
    quantile(list, 0.4);
    median(list);
    quantiles(list, [0.2]);
    medianAbsoluteDeviation(list);
    expect(list).toEqual([3, 1, 2]);
  });

  it('throws on nothing, on what is no number, and on a share outside 0 to 1', () => {
    expect(() => median([])).toThrow(RangeError);
    expect(() => median([1, Number.NaN])).toThrow(/value 1/);
    expect(() => quantile([1], 1.1)).toThrow(RangeError);
    expect(() => weightedMedian([1, 2], [0, 0])).toThrow(RangeError);
    expect(() => weightedMedian([1, 2], [1])).toThrow(RangeError);
  });
});
