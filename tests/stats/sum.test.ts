import { describe, expect, it } from 'vitest';
import { mean, rootMeanSquare, sampleDeviation, sampleVariance, sum } from '#lib/stats/sum.ts';

describe('oracle: worked by hand', () => {
  it('keeps what cancels: 1 + 1e100 + 1 - 1e100 is 2', () => {
    // The example of Neumaier's paper that the older compensated sum loses.
    expect(sum([1, 1e100, 1, -1e100])).toBe(2);
  });

  it('sums ten tenths to one', () => expect(sum(new Array(10).fill(0.1))).toBe(1));
});

describe('oracle: the construction of NIST StRD SmLs07 to SmLs09', () => {
  it('tells a tenth from values near 1e12, where naive formulas give nothing', () => {
    // Levels 1000000000000.3, .4 and .5 as in those sets: the sample variance of one and a half cycles is known by hand.
    const values = [1e12 + 0.375, 1e12 + 0.5, 1e12 + 0.625]; // eighths, so that they are exact at 1e12
    expect(sampleVariance(values)).toBe(0.015625);
    expect(mean(values)).toBe(1e12 + 0.5);
  });
});

describe('law', () => {
  it('has a deviation that scales, and that a shift leaves alone', () => {
    const values = [3, 1, 4, 1, 5, 9, 2, 6];
    expect(sampleDeviation(values.map((v) => -3 * v + 1e6))).toBeCloseTo(3 * sampleDeviation(values), 9);
    expect(rootMeanSquare([3, 4])).toBeCloseTo(Math.sqrt(12.5), 14);
  });

  it('throws on too few values, and sums none to nothing', () => {
    expect(sum([])).toBe(0);
    expect(() => mean([])).toThrow(RangeError);
    expect(() => sampleVariance([1])).toThrow(RangeError);
    expect(() => rootMeanSquare([])).toThrow(RangeError);
  });
});
