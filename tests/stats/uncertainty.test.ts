import { describe, expect, it } from 'vitest';
import { fitLine, lineAt } from '#lib/stats/line.ts';
import { randomFrom } from '#lib/stats/random.ts';
import { sampleDeviation } from '#lib/stats/sum.ts';
import { combined, correlation, effectiveFreedom, meansTogether, propagate, quadrature, quantity } from '#lib/stats/uncertainty.ts';
import oracle from '#tests/oracles/regression.json' with { type: 'json' };

describe('oracle: GUM H.1, end gauge', () => {
  it('combines 25, 9.7, 2.9 and 16.6 nm to 32 nm with 16 degrees of freedom', () => {
    const parts = [
      { u: 25, freedom: 18 },
      { u: 9.7, freedom: 25.6 },
      { u: 2.9, freedom: 50 },
      { u: 16.6, freedom: 2 },
    ];
    expect(Math.round(quadrature(...parts.map(({ u }) => u)))).toBe(32);
    expect(Math.floor(effectiveFreedom(parts))).toBe(16);
  });
});

describe('oracle: GUM H.2, resistance and reactance read together', () => {
  const V = [5.007, 4.994, 5.005, 4.99, 4.999];
  const I = [19.663e-3, 19.639e-3, 19.64e-3, 19.685e-3, 19.678e-3];
  const PHI = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433];
  const means = meansTogether([V, I, PHI]);

  it('has the means, their deviations and correlations of table H.2', () => {
    expect(Array.from(means.values)).toEqual([expect.closeTo(4.999, 10), expect.closeTo(19.661e-3, 10), expect.closeTo(1.04446, 10)]);
    const u = [0, 4, 8].map((i) => Math.sqrt(means.covariance[i]));
    expect([u[0].toFixed(4), (u[1] * 1e3).toFixed(4), u[2].toFixed(5)]).toEqual(['0.0032', '0.0095', '0.00075']);
    const r = [
      [0, 1],
      [0, 2],
      [1, 2],
    ].map(([i, j]) => correlation(means.covariance, 3, i, j).toFixed(2));
    expect(r).toEqual(['-0.36', '0.86', '-0.65']);
  });

  it('has the results, uncertainties and correlations of table H.4', () => {
    const { values, covariance } = propagate(
      ([v, i, phi]) => [(v / i) * Math.cos(phi), (v / i) * Math.sin(phi), v / i],
      means.values,
      means.covariance,
    );
    expect(Array.from(values, (x) => x.toFixed(3))).toEqual(['127.732', '219.847', '254.260']);
    const u = [0, 4, 8].map((i) => Math.sqrt(covariance[i]));
    // Printed 0.071, 0.295, 0.236; the middle one is 0.2956, which the standard cut.
    expect([u[0].toFixed(3), u[1].toFixed(3), u[2].toFixed(3)]).toEqual(['0.071', '0.296', '0.236']);
    const r = [
      [0, 1],
      [0, 2],
      [1, 2],
    ].map(([i, j]) => correlation(covariance, 3, i, j).toFixed(3));
    expect(r).toEqual(['-0.588', '-0.485', '0.993']);
  });
});

describe('oracle: GUM H.3, calibration of a thermometer', () => {
  const t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511];
  const b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16];
  const fit = fitLine(t, b, 20);
  if (!fit.ok) throw new Error(fit.detail);
  const line = fit.value;

  it('has the line, its uncertainties and their correlation', () => {
    expect([line.intercept.toFixed(4), line.uIntercept.toFixed(4)]).toEqual(['-0.1712', '0.0029']);
    expect([line.slope.toFixed(5), line.uSlope.toFixed(5)]).toEqual(['0.00218', '0.00067']);
    expect([line.correlation.toFixed(3), line.noise.toFixed(4)]).toEqual(['-0.930', '0.0035']);
  });

  it('has the correction at 30 degrees', () => {
    const { value, u } = lineAt(line, 30);
    expect([value.toFixed(4), u.toFixed(4)]).toEqual(['-0.1494', '0.0041']);
  });
});

describe('oracle: NIST StRD, Norris', () => {
  it('has the certified line', () => {
    const { norris } = oracle;
    const fit = fitLine(
      norris.rows.map((row) => row[1]),
      norris.rows.map((row) => row[0]),
    );
    if (!fit.ok) throw new Error(fit.detail);
    const close = (seen: number, expected: number) => expect(Math.abs(seen / expected - 1)).toBeLessThan(1e-11);
    close(fit.value.intercept, norris.intercept[0]);
    close(fit.value.uIntercept, norris.intercept[1]);
    close(fit.value.slope, norris.slope[0]);
    close(fit.value.uSlope, norris.slope[1]);
    close(fit.value.noise, norris.residualDeviation);
    close(fit.value.rSquared, norris.rSquared);
  });
});

describe('law', () => {
  it('propagates as a simulation scatters', () => {
    const random = randomFrom(41);
    // Correlated inputs: x = (3, 2) with u 0.05 and 0.04, r = 0.6.
    const covariance = [0.0025, 0.0012, 0.0012, 0.0016];
    const f = ([x, y]: ArrayLike<number> & Iterable<number>) => [x * y, x / y];
    const { covariance: stated } = propagate(f, [3, 2], covariance);
    const draws = Array.from({ length: 20_000 }, () => {
      const a = random.normal();
      const b = 0.6 * a + 0.8 * random.normal();
      return f([3 + 0.05 * a, 2 + 0.04 * b]);
    });
    [0, 1].forEach((k) => {
      expect(Math.sqrt(stated[3 * k]) / sampleDeviation(draws.map((d) => d[k]))).toBeCloseTo(1, 1);
    });
  });

  it('adds what is shared in full, and what is not in squares', () => {
    expect(combined([1, 1], [1, 1, 1, 1])).toBeCloseTo(2, 14);
    expect(combined([1, 1], [1, 0, 0, 1])).toBeCloseTo(Math.SQRT2, 14);
    expect(combined([1, -1], [1, 1, 1, 1])).toBe(0);
  });

  it('gives an interval of 1.96 u, wider when u itself is little known', () => {
    const wide = quantity(10, 2, 4);
    expect(quantity(10, 2)).toEqual({ value: 10, u: 2, ci95: [expect.closeTo(6.080072, 6), expect.closeTo(13.919928, 6)] });
    expect(wide.ci95[1]).toBeCloseTo(10 + 2 * 2.776445, 5);
    expect(() => quantity(1, -1)).toThrow(RangeError);
  });

  it('covers the truth with a line as often as it says', () => {
    const random = randomFrom(42);
    const x = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9];
    let inside = 0;
    const TRIALS = 1500;
    for (let i = 0; i < TRIALS; i++) {
      const fit = fitLine(
        x,
        x.map((value) => 2 - 0.7 * value + 0.3 * random.normal()),
      );
      if (!fit.ok) throw new Error(fit.detail);
      const { value, u } = lineAt(fit.value, 12);
      const { ci95 } = quantity(value, u, fit.value.freedom);
      if (ci95[0] <= 2 - 0.7 * 12 && 2 - 0.7 * 12 <= ci95[1]) inside++;
    }
    expect(Math.abs(inside / TRIALS - 0.95)).toBeLessThan(4 * Math.sqrt((0.95 * 0.05) / TRIALS));
  });

  it('throws on readings that do not belong together', () => {
    expect(() => meansTogether([[1, 2], [1]])).toThrow(RangeError);
    expect(() => propagate((x) => x, [1, 2], [1])).toThrow(RangeError);
    expect(() => fitLine([1, 2], [1])).toThrow(RangeError);
  });
});

describe('refusal', () => {
  it('too-few: two points leave no scatter', () => expect(fitLine([1, 2], [1, 2])).toMatchObject({ ok: false, why: 'too-few' }));
  it('degenerate: one x for all', () => expect(fitLine([1, 1, 1], [1, 2, 3])).toMatchObject({ ok: false, why: 'degenerate' }));
});
