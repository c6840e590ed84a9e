import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { gradeTable, weightedKappa } from '#lib/stats/weighted-kappa.ts';

const kappa = (table: number[][], weights: 'none' | 'linear' | 'quadratic' = 'none') => {
  const seen = weightedKappa(table, weights);
  if (!seen.ok) throw new Error(seen.detail);
  return seen.value;
};

describe('law', () => {
  it('is 1 for full agreement, 0 for independent raters, and the same for both orders of the raters', () => {
    expect(kappa([[4, 0, 0], [0, 5, 0], [0, 0, 6]], 'linear').value).toBe(1); // biome-ignore format: a table
    expect(kappa([[2, 4], [4, 8]]).value).toBeCloseTo(0, 12); // biome-ignore format: a table
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: -4, max: 4 }), fc.integer({ min: -4, max: 4 })), { minLength: 4, maxLength: 40 }),
        (pairs) => {
          const [a, b] = [pairs.map(([x]) => x), pairs.map(([, y]) => y)];
          const one = weightedKappa(gradeTable(a, b, -4, 4), 'quadratic');
          const other = weightedKappa(gradeTable(b, a, -4, 4), 'quadratic');
          expect(one.ok).toBe(other.ok);
          if (one.ok && other.ok) {
            expect(one.value.value).toBeCloseTo(other.value.value, 12);
            expect(one.value.u).toBeCloseTo(other.value.u, 12);
            expect(Number.isFinite(one.value.p)).toBe(true);
          }
        },
      ),
    );
  });
});

describe('oracle: statsmodels tests/test_inter_rater.py, from SAS', () => {
  it('has kappa, its errors, interval and test', () => {
    const table = [[0, 4, 1], [0, 8, 0], [0, 1, 5]]; // biome-ignore format: a table
    const plain = kappa(table);
    expect([plain.value, plain.u, ...plain.ci95, plain.u0].map((v) => v.toFixed(4))).toEqual([
      '0.4842',
      '0.1380',
      '0.2137',
      '0.7547',
      '0.1484',
    ]);
    expect((plain.value / plain.u0).toFixed(4)).toBe('3.2626');
    const linear = kappa(table, 'linear');
    expect([linear.value, linear.u, ...linear.ci95].map((v) => v.toFixed(4))).toEqual(['0.4701', '0.1457', '0.1845', '0.7558']);
  });
});

describe('refusal', () => {
  it('too-few', () => expect(weightedKappa([[1, 0], [0, 0]], 'none')).toMatchObject({ ok: false, why: 'too-few' })); // biome-ignore format: a table
  it('no-spread', () => expect(weightedKappa([[9, 0], [0, 0]], 'linear')).toMatchObject({ ok: false, why: 'no-spread' })); // biome-ignore format: a table
  it('throws for a grade that is none', () => expect(() => gradeTable([5], [0], -4, 4)).toThrow(RangeError));
});
