import { describe, expect, it } from 'vitest';
import { randomFrom, randomFromState, shuffled } from '#lib/stats/random.ts';
import { mean, sampleDeviation } from '#lib/stats/sum.ts';

describe('oracle: reference C code of xoshiro128**, Blackman & Vigna', () => {
  it('gives the reference output for the state 1, 2, 3, 4', () => {
    // As kept in the test vectors of the rand_xoshiro crate, `reference_starstar`.
    const random = randomFromState([1, 2, 3, 4]);
    expect(Array.from({ length: 10 }, random.uint32)).toEqual([
      11520, 0, 5927040, 70819200, 2031721883, 1637235492, 1287239034, 3734860849, 3729100597, 4258142804,
    ]);
  });
});

describe('law', () => {
  const DRAWS = 200_000;

  it('gives the same stream for the same seed, and another for the next seed', () => {
    const stream = (seed: number) => Array.from({ length: 50 }, randomFrom(seed).uint32);
    expect(stream(7)).toEqual(stream(7));
    expect(stream(7)).not.toEqual(stream(8));
  });

  it('draws uniform numbers with the moments of a uniform', () => {
    const draws = Float64Array.from({ length: DRAWS }, randomFrom(1).uniform);
    expect(draws.every((x) => x >= 0 && x < 1)).toBe(true);
    // Five standard errors.
    expect(Math.abs(mean(draws) - 0.5)).toBeLessThan((5 * Math.sqrt(1 / 12)) / Math.sqrt(DRAWS));
    expect(Math.abs(sampleDeviation(draws) - Math.sqrt(1 / 12))).toBeLessThan(0.002);
  });

  it('draws normal numbers with the first four moments of a normal', () => {
    const draws = Float64Array.from({ length: DRAWS }, randomFrom(2).normal);
    const moment = (power: number) => mean(draws.map((x) => x ** power));
    const error = (variance: number) => 5 * Math.sqrt(variance / DRAWS);
    expect(Math.abs(moment(1))).toBeLessThan(error(1));
    expect(Math.abs(moment(2) - 1)).toBeLessThan(error(2));
    expect(Math.abs(moment(3))).toBeLessThan(error(15));
    expect(Math.abs(moment(4) - 3)).toBeLessThan(error(96));
    expect(draws.filter((x) => Math.abs(x) > 1.959964).length / DRAWS).toBeCloseTo(0.05, 2);
  });

  it('draws each integer as often as the others', () => {
    const random = randomFrom(3);
    const counts = new Uint32Array(7);
    for (let i = 0; i < 70_000; i++) counts[random.integer(7)]++;
    const chiSquare = counts.reduce((total, seen) => total + (seen - 10_000) ** 2 / 10_000, 0);
    expect(chiSquare).toBeLessThan(22.46); // chi-square, 6 degrees of freedom, p = 0.001
  });

  it('keeps a fork apart from what its parent draws', () => {
    const one = randomFrom(5);
    const two = randomFrom(5);
    one.normal();
    expect(one.fork('noise').uint32()).toBe(two.fork('noise').uint32());
    expect(two.fork('noise').uint32()).not.toBe(two.fork('pores').uint32());
    expect(randomFrom(6).fork('noise').uint32()).not.toBe(two.fork('noise').uint32());
  });

  it('shuffles into a new array that holds the same items', () => {
    const items = [1, 2, 3, 4, 5, 6, 7, 8];
    const order = shuffled(items, randomFrom(4));
    expect(items).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
    expect(order).not.toEqual(items);
    expect([...order].sort()).toEqual(items);
  });

  it('throws on a seed, state or bound that makes no sense', () => {
    expect(() => randomFrom(0.5)).toThrow(RangeError);
    expect(() => randomFromState([0, 0, 0, 0])).toThrow(RangeError);
    expect(() => randomFrom(1).integer(0)).toThrow(RangeError);
  });
});
