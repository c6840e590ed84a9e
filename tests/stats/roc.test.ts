import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { proportion } from '#lib/stats/proportion.ts';
import { rocArea, rocCurve } from '#lib/stats/roc.ts';

const scores = fc.array(fc.integer({ min: -20, max: 20 }), { minLength: 2, maxLength: 30 });
const areaOf = (positive: number[], negative: number[]): number => {
  const area = rocArea(positive, negative);
  if (!area.ok) throw new Error(area.detail);
  return area.value.area;
};

describe('law', () => {
  it('is 1 when every positive is higher, 0 when every one is lower, a half for one and the same list', () => {
    expect(areaOf([5, 6, 7], [1, 2, 3, 4])).toBe(1);
    expect(areaOf([1, 2], [3, 4])).toBe(0);
    expect(areaOf([1, 2, 3], [1, 2, 3])).toBe(0.5);
  });

  it('is the area under its own curve, ties or not', () => {
    fc.assert(
      fc.property(scores, scores, (positive, negative) => {
        const curve = rocCurve(positive, negative);
        const trapezia = curve
          .slice(1)
          .reduce((sum, p, i) => sum + ((p.found + curve[i].found) / 2) * (p.falseAlarms - curve[i].falseAlarms), 0);
        expect(trapezia).toBeCloseTo(areaOf(positive, negative), 12);
        expect(curve.at(-1)).toEqual({ falseAlarms: 1, found: 1 });
      }),
    );
  });

  it('turns into what is missing to 1 when the kinds change places', () => {
    fc.assert(
      fc.property(scores, scores, (a, b) => {
        expect(areaOf(a, b) + areaOf(b, a)).toBeCloseTo(1, 12);
      }),
    );
  });
});

describe('oracle: the definition of Mann and Whitney, every pair counted', () => {
  it('agrees', () => {
    fc.assert(
      fc.property(scores, scores, (a, b) => {
        let sum = 0;
        for (const x of a) for (const y of b) sum += x > y ? 1 : x === y ? 0.5 : 0;
        expect(areaOf(a, b)).toBeCloseTo(sum / (a.length * b.length), 12);
      }),
    );
  });
});

describe('oracle: DeLong variance against repeated draws', () => {
  it('is the scatter of the area over repeated samples', () => {
    // Normal scores one standard deviation apart, 20 against 30; the area is Phi(1 / sqrt 2).
    let seed = 12345;
    const uniform = (): number => {
      seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
      return (seed + 0.5) / 2 ** 32;
    };
    const normal = (): number => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
    const areas: number[] = [];
    const stated: number[] = [];
    for (let k = 0; k < 2000; k++) {
      const area = rocArea(
        Array.from({ length: 20 }, () => normal() + 1),
        Array.from({ length: 30 }, normal),
      );
      if (!area.ok) throw new Error(area.detail);
      areas.push(area.value.area);
      stated.push(area.value.u ** 2);
    }
    const mean = areas.reduce((sum, a) => sum + a, 0) / areas.length;
    const variance = areas.reduce((sum, a) => sum + (a - mean) ** 2, 0) / (areas.length - 1);
    expect(mean).toBeCloseTo(0.7602, 2); // Phi(1 / sqrt 2)
    expect(stated.reduce((sum, v) => sum + v, 0) / stated.length / variance).toBeGreaterThan(0.9);
    expect(stated.reduce((sum, v) => sum + v, 0) / stated.length / variance).toBeLessThan(1.15);
  });
});

describe('oracle: Wilson intervals of Brown, Cai & DasGupta and of R', () => {
  // prop.test(x, n, correct = FALSE) in R 4: 0 of 10, 5 of 50, 29 of 30.
  it.each([
    [0, 10, 0, 0.2775],
    [5, 50, 0.0435, 0.2136],
    [29, 30, 0.8333, 0.9941],
  ])('%i of %i', (count, of, low, high) => {
    const { ci95 } = proportion(count, of);
    expect(ci95[0]).toBeCloseTo(low, 3);
    expect(ci95[1]).toBeCloseTo(high, 3);
  });
});

describe('refusal', () => {
  it('asks for two of each kind', () => {
    expect(rocArea([1], [2, 3])).toMatchObject({ ok: false, why: 'too-few' });
  });
  it('throws for counts that cannot be, and has no share of nothing', () => {
    expect(() => proportion(3, 2)).toThrow(RangeError);
    expect(proportion(0, 0)).toMatchObject({ ci95: [0, 1], share: Number.NaN });
  });
});
