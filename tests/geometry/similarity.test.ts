import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { applySimilarity, fitSimilarity } from '#lib/geometry/similarity.ts';

/** A small generator of our own, so that a failing case can be found again. */
const normals = (seed: number) => {
  let state = seed >>> 0;
  const uniform = () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return (state + 0.5) / 4294967296;
  };
  return () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
};

const planted = (points: readonly number[], scale: number, angle: number, dx: number, dy: number) => {
  const out: number[] = [];
  for (let i = 0; i < points.length; i += 2) {
    out.push(scale * (Math.cos(angle) * points[i] - Math.sin(angle) * points[i + 1]) + dx);
    out.push(scale * (Math.sin(angle) * points[i] + Math.cos(angle) * points[i + 1]) + dy);
  }
  return out;
};

describe('law', () => {
  it('a planted similarity is recovered', () => {
    const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    fc.assert(
      fc.property(number(0.1, 10), number(-3, 3), number(-500, 500), number(-500, 500), (scale, angle, dx, dy) => {
        const from = [0, 0, 100, 7, 30, 90, -40, 55];
        const got = fitSimilarity(from, planted(from, scale, angle, dx, dy));
        if (!got.ok) throw new Error(got.detail);
        expect(got.value.scale.value).toBeCloseTo(scale, 9);
        expect(got.value.angle.value).toBeCloseTo(angle, 9);
        expect(got.value.residual).toBeLessThan(1e-4);
        const carried = applySimilarity(got.value, from);
        planted(from, scale, angle, dx, dy).forEach((v, i) => {
          expect(carried[i]).toBeCloseTo(v, 7);
        });
      }),
      { numRuns: 50 },
    );
  });

  it('stated uncertainty is the scatter seen when the noise is drawn again', () => {
    const normal = normals(7);
    const from = [0, 0, 80, 5, 60, 70, -10, 66, 33, 20, 12, 90];
    const clean = planted(from, 1.3, 0.4, 10, -4);
    let scales = 0;
    let angles = 0;
    let statedScale = 0;
    let statedAngle = 0;
    const draws = 4000;
    for (let k = 0; k < draws; k++) {
      const got = fitSimilarity(
        from,
        clean.map((v) => v + 0.7 * normal()),
      );
      if (!got.ok) throw new Error(got.detail);
      scales += (got.value.scale.value - 1.3) ** 2;
      angles += (got.value.angle.value - 0.4) ** 2;
      statedScale += got.value.scale.u ** 2;
      statedAngle += got.value.angle.u ** 2;
    }
    expect(Math.sqrt(statedScale / scales)).toBeGreaterThan(0.95);
    expect(Math.sqrt(statedScale / scales)).toBeLessThan(1.05);
    expect(Math.sqrt(statedAngle / angles)).toBeGreaterThan(0.95);
    expect(Math.sqrt(statedAngle / angles)).toBeLessThan(1.05);
  });
});

describe('oracle: Umeyama 1991, section IV, the example whose best fit would be a reflection', () => {
  it('gives the printed rotation, scale, shift and mean squared error', () => {
    const from = [0, 0, 1, 0, 0, 2];
    const onto = [0, 0, -1, 0, 0, 2];
    const got = fitSimilarity(from, onto);
    if (!got.ok) throw new Error(got.detail);
    const { scale, angle, shift } = got.value;
    expect(Math.cos(angle.value)).toBeCloseTo(0.83205, 5);
    expect(-Math.sin(angle.value)).toBeCloseTo(0.5547, 5);
    expect(scale.value).toBeCloseTo(0.72111, 5);
    expect(shift[0]).toBeCloseTo(-0.8, 9);
    expect(shift[1]).toBeCloseTo(0.4, 9);
    const carried = applySimilarity(got.value, from);
    const error = onto.reduce((sum, v, i) => sum + (v - carried[i]) ** 2, 0) / 3;
    expect(error).toBeCloseTo(0.533333, 6);
  });
});

describe('refusal', () => {
  it('too few pairs, and points without extent', () => {
    expect(fitSimilarity([0, 0, 1, 1], [0, 0, 1, 1])).toMatchObject({ ok: false, why: 'too-few' });
    expect(fitSimilarity([2, 2, 2, 2, 2, 2], [0, 0, 1, 1, 3, 0])).toMatchObject({ ok: false, why: 'degenerate' });
    expect(() => fitSimilarity([0, 0, 1, 1], [0, 0])).toThrow(RangeError);
  });
});
