import { describe, expect, it } from 'vitest';
import { logGamma } from '#lib/stats/gamma.ts';
import { normalQuantile, normalShare, normalTail, normalTwoSided } from '#lib/stats/normal.ts';
import {
  chiSquareQuantile,
  chiSquareTail,
  fisherQuantile,
  fisherTail,
  studentTail,
  studentTwoSided,
  studentTwoSidedQuantile,
} from '#lib/stats/tails.ts';
import table from '#tests/oracles/distributions-mpmath.json' with { type: 'json' };

/** Rows whose last entry is not what `f` gives of the others, to a relative error. */
const wrong = (rows: number[][], f: (...x: number[]) => number, tolerance: number) =>
  rows.filter((row) => {
    const expected = row[row.length - 1];
    return !(Math.abs(f(...row.slice(0, -1)) - expected) <= tolerance * Math.abs(expected));
  });

describe('oracle: mpmath', () => {
  it('normal tails', () => expect(wrong(table.normalTail, normalTail, 2e-13)).toEqual([]));
  it('normal quantiles', () => expect(wrong(table.normalQuantile, normalQuantile, 2e-15)).toEqual([]));
  it('chi-square tails', () => expect(wrong(table.chiSquareTail, chiSquareTail, 1e-12)).toEqual([]));
  it('Student tails', () => expect(wrong(table.studentTwoSided, studentTwoSided, 1e-9)).toEqual([]));
  it('Fisher tails', () => expect(wrong(table.fisherTail, fisherTail, 1e-12)).toEqual([]));
  it('the logarithm of gamma, absolutely where it crosses zero', () => {
    expect(
      table.logGamma.filter(([x, expected]) => !(Math.abs(logGamma(x) - expected) <= 5e-15 * Math.max(1, Math.abs(expected)))),
    ).toEqual([]);
  });
});

describe('oracle: printed tables of R', () => {
  // qt(0.975, c(1, 5, 20)), qchisq(0.95, c(1, 10)), qf(0.95, 5, 15), qnorm(0.975)
  it('quantiles', () => {
    expect([1, 5, 20].map((df) => Number(studentTwoSidedQuantile(0.05, df).toFixed(6)))).toEqual([12.706205, 2.570582, 2.085963]);
    expect([1, 10].map((df) => Number(chiSquareQuantile(0.05, df).toFixed(6)))).toEqual([3.841459, 18.307038]);
    expect(fisherQuantile(0.05, 5, 15)).toBeCloseTo(2.901295, 6);
    expect(normalQuantile(0.975)).toBeCloseTo(1.959963984540054, 14);
  });
});

describe('law', () => {
  it('has tails and quantiles that undo each other', () => {
    for (const p of [1e-12, 0.003, 0.2, 0.5, 0.9, 1 - 1e-9]) {
      expect(normalShare(normalQuantile(p)) / p).toBeCloseTo(1, 12);
      expect(chiSquareTail(chiSquareQuantile(p, 7), 7) / p).toBeCloseTo(1, 12);
      expect(studentTwoSided(studentTwoSidedQuantile(p, 4.5), 4.5) / p).toBeCloseTo(1, 10);
      expect(fisherTail(fisherQuantile(p, 3, 8), 3, 8) / p).toBeCloseTo(1, 10);
    }
  });

  it('is symmetric where it should be', () => {
    for (const z of [0, 0.3, 1.7, 6]) {
      expect(normalTail(z) + normalTail(-z)).toBeCloseTo(1, 14);
      expect(studentTail(z, 5) + studentTail(-z, 5)).toBeCloseTo(1, 14);
      expect(normalTwoSided(z)).toBeCloseTo(2 * normalTail(z), 14);
    }
  });

  it('ends in nothing at infinity', () => {
    expect([normalTail(Infinity), chiSquareTail(Infinity, 3), studentTwoSided(Infinity, 3), fisherTail(Infinity, 2, 3)]).toEqual([
      0, 0, 0, 0,
    ]);
  });

  it('throws on arguments outside its range', () => {
    expect(() => normalQuantile(0)).toThrow(RangeError);
    expect(() => chiSquareTail(1, 0)).toThrow(RangeError);
    expect(() => studentTwoSidedQuantile(1, 3)).toThrow(RangeError);
    expect(() => logGamma(0)).toThrow(RangeError);
  });
});
