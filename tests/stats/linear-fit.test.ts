import { describe, expect, it } from 'vitest';
import { fitLinear, type LinearFit, type LinearFitOptions } from '#lib/stats/linear-fit.ts';
import type { LinearProblem } from '#lib/stats/linear-problem.ts';
import { columnsOf, normalEquations } from '#lib/stats/normal-equations.ts';
import { randomFrom } from '#lib/stats/random.ts';
import { huber, SQUARES, tukey } from '#lib/stats/robust-loss.ts';
import { factorSpd, inverseSpd, logDeterminantFactored, solveSpd } from '#lib/stats/solve-spd.ts';
import { sampleDeviation } from '#lib/stats/sum.ts';
import oracle from '#tests/oracles/regression.json' with { type: 'json' };

/** A constant and the given columns; `yAt` is the place of what was observed. */
function problemOf(rows: number[][], yAt: number): LinearProblem {
  const columns = rows[0].length;
  const design = rows.flatMap((row) => [1, ...row.filter((_, j) => j !== yAt)]);
  return { rows: rows.length, columns, design, observed: rows.map((row) => row[yAt]) };
}

function fitted(problem: LinearProblem, options?: LinearFitOptions): LinearFit {
  const fit = fitLinear(problem, options);
  if (!fit.ok) throw new Error(fit.detail);
  return fit.value;
}

const uncertainties = (fit: LinearFit): number[] =>
  Array.from(fit.coefficients, (_, i) => Math.sqrt(fit.covariance[i * fit.coefficients.length + i]));

const closeTo = (seen: ArrayLike<number>, expected: number[], relative: number) =>
  expect(expected.filter((value, i) => !(Math.abs(seen[i] - value) <= relative * Math.abs(value)))).toEqual([]);

describe('oracle: NIST StRD', () => {
  it('Norris', () => {
    const { norris } = oracle;
    const fit = fitted(problemOf(norris.rows, 0));
    closeTo(fit.coefficients, [norris.intercept[0], norris.slope[0]], 1e-11);
    closeTo(uncertainties(fit), [norris.intercept[1], norris.slope[1]], 1e-11);
    expect(fit.noise).toBeCloseTo(norris.residualDeviation, 12);
  });

  it('Longley, whose columns are so alike that plain normal equations keep few digits', () => {
    const { longley } = oracle;
    const fit = fitted(problemOf(longley.rows, 0));
    closeTo(fit.coefficients, longley.coefficients, 1e-10);
    closeTo(uncertainties(fit), longley.deviations, 1e-7);
    expect(fit.noise).toBeCloseTo(longley.residualDeviation, 7);
  });
});

describe("oracle: stack loss, by R's MASS::rlm and by SAS", () => {
  const { stackLoss } = oracle;
  const problem = problemOf(stackLoss.rows, 3);

  it.each([
    ['huber', huber(), stackLoss.huber],
    ['tukey', tukey(), stackLoss.tukey],
  ] as const)('%s', (_, loss, published) => {
    const fit = fitted(problem, { loss, tolerance: 1e-10, maxSteps: 500 });
    expect(fit.converged).toBe(true);
    // R stops at 1e-4, so its digits end about there.
    closeTo(fit.coefficients, published.coefficients, 3e-4);
    expect(Math.abs(fit.noise - published.scale)).toBeLessThan(1e-3);
    expect(Math.abs(fit.kept[3] - published.weightOfFourth)).toBeLessThan(1e-3);
    expect(Math.abs(fit.kept[20] - published.weightOfLast)).toBeLessThan(1e-3);
    // SAS prints its first form of the covariance to four or five digits.
    closeTo(
      uncertainties(fit),
      [0, 5, 10, 15].map((i) => Math.sqrt(published.covarianceFirstForm[i])),
      3e-3,
    );
  });
});

/** y = 2 - 3 x1 + 0.5 x2 with unit noise, a share of it gross. */
function planted(seed: number, rows: number, gross: number): LinearProblem {
  const random = randomFrom(seed);
  const design = new Float64Array(rows * 3);
  const observed = new Float64Array(rows);
  for (let i = 0; i < rows; i++) {
    design.set([1, random.normal(), random.uniform() * 4], 3 * i);
    const noise = random.uniform() < gross ? 12 + 5 * random.normal() : random.normal();
    observed[i] = 2 - 3 * design[3 * i + 1] + 0.5 * design[3 * i + 2] + noise;
  }
  return { rows, columns: 3, design, observed };
}

describe('law', () => {
  const TRUTH = [2, -3, 0.5];

  it.each([
    ['squares', SQUARES, 0],
    ['huber', huber(), 0],
    ['tukey', tukey(), 0],
    ['tukey, a tenth of the rows gross', tukey(), 0.1],
  ] as const)('states the uncertainty that the scatter shows: %s', (_, loss, gross) => {
    const fits = Array.from({ length: 400 }, (_, i) => fitted(planted(100 + i, 60, gross), { loss }));
    TRUTH.forEach((truth, j) => {
      const scatter = sampleDeviation(fits.map((fit) => fit.coefficients[j]));
      const stated = Math.sqrt(fits.reduce((total, fit) => total + fit.covariance[4 * j], 0) / fits.length);
      // A standard deviation from 400 fits is good to 1 / sqrt(800) = 3.5 %; four of those.
      expect(Math.abs(stated / scatter - 1)).toBeLessThan(0.14);
      const bias = fits.reduce((total, fit) => total + fit.coefficients[j] - truth, 0) / fits.length;
      expect(Math.abs(bias)).toBeLessThan((4 * scatter) / Math.sqrt(fits.length) + (gross > 0 ? 0.1 * scatter : 0));
    });
  });

  it('is led away by gross rows only when it does not look for them', () => {
    const problem = planted(7, 200, 0.2);
    const away = (fit: LinearFit) => Math.abs(fit.coefficients[0] - 2);
    expect(away(fitted(problem))).toBeGreaterThan(1);
    expect(away(fitted(problem, { loss: tukey() }))).toBeLessThan(0.5);
  });

  it('takes a weight of two for a row given twice, and a weight of none for a row left out', () => {
    const { design, observed, columns } = planted(8, 30, 0);
    const row = (i: number) => Array.from(design).slice(3 * i, 3 * i + 3);
    const weights = Array.from({ length: 30 }, (_, i) => i % 3);
    const repeated = weights.flatMap((w, i) => new Array<number>(w).fill(i));
    const twice = fitted({ columns, rows: repeated.length, design: repeated.flatMap(row), observed: repeated.map((i) => observed[i]) });
    closeTo(fitted({ columns, rows: 30, design, observed, weights }).coefficients, Array.from(twice.coefficients), 1e-12);
  });

  it('gives way to a strong prior, and ignores one that knows nothing', () => {
    const problem = planted(9, 40, 0);
    const held = fitted({ ...problem, prior: { precision: [0, 1e12, 0], mean: [0, 7, 0] } });
    expect(held.coefficients[1]).toBeCloseTo(7, 6);
    closeTo(fitted({ ...problem, prior: { precision: [0, 0, 0] } }).coefficients, Array.from(fitted(problem).coefficients), 1e-9);
  });

  it('has the posterior of a normal prior worked by hand', () => {
    // One unknown, two readings 3 and 5 of noise 1, prior 0 with sd 1: mean 8 / 3, variance 1 / 3.
    const fit = fitted({ rows: 2, columns: 1, design: [1, 1], observed: [3, 5], prior: { precision: [1] } }, { noise: 1 });
    expect(fit.coefficients[0]).toBeCloseTo(8 / 3, 14);
    expect(fit.covariance[0]).toBeCloseTo(1 / 3, 14);
  });

  it('fits rows without noise exactly, and says that no uncertainty is left', () => {
    const design = [1, 0, 1, 1, 1, 2, 1, 3];
    const fit = fitted({ rows: 4, columns: 2, design, observed: [1, 3, 5, 7] }, { loss: huber() });
    closeTo(fit.coefficients, [1, 2], 1e-12);
    expect(Math.max(...fit.covariance.map(Math.abs))).toBeLessThan(1e-20);
  });

  it('leaves its inputs as they were', () => {
    const problem = planted(10, 20, 0.1);
    const before = JSON.stringify(problem);
    fitted(problem, { loss: tukey() });
    expect(JSON.stringify(problem)).toBe(before);
  });

  it('forms the same normal equations as the plain sum, at sizes that fill the blocks and at sizes that do not', () => {
    const random = randomFrom(11);
    for (const [rows, columns] of [
      [1, 1],
      [7, 3],
      [40, 4],
      [600, 9],
      [1300, 17],
    ]) {
      const design = Float64Array.from({ length: rows * columns }, random.normal);
      const observed = Float64Array.from({ length: rows }, random.normal);
      const weights = Float64Array.from({ length: rows }, random.uniform);
      const { matrix, right } = normalEquations(columnsOf(design, rows, columns), observed, weights, rows, columns);
      const sumOver = (f: (i: number) => number) => Array.from({ length: rows }, (_, i) => f(i)).reduce((a, b) => a + b, 0);
      for (let j = 0; j < columns; j++) {
        expect(right[j]).toBeCloseTo(
          sumOver((i) => design[i * columns + j] * weights[i] * observed[i]),
          9,
        );
        for (let k = 0; k < columns; k++)
          expect(matrix[j * columns + k]).toBeCloseTo(
            sumOver((i) => design[i * columns + j] * weights[i] * design[i * columns + k]),
            9,
          );
      }
    }
  });

  it('solves and inverts positive definite systems, and knows the others', () => {
    const random = randomFrom(12);
    const n = 23;
    const b = Float64Array.from({ length: n * n }, random.normal);
    const a = Float64Array.from({ length: n * n }, (_, at) => {
      const [i, j] = [Math.floor(at / n), at % n];
      let total = i === j ? 1 : 0;
      for (let k = 0; k < n; k++) total += b[i * n + k] * b[j * n + k];
      return total;
    });
    const x = Float64Array.from({ length: n }, random.normal);
    const right = x.map((_, i) => x.reduce((total, value, j) => total + a[i * n + j] * value, 0));
    solveSpd(a, right, n).forEach((value, i) => expect(value).toBeCloseTo(x[i], 9));
    const inverse = inverseSpd(a, n);
    for (let i = 0; i < n; i++)
      for (let j = 0; j < n; j++) {
        let total = 0;
        for (let k = 0; k < n; k++) total += a[i * n + k] * inverse[k * n + j];
        expect(total).toBeCloseTo(i === j ? 1 : 0, 9);
      }
    expect(logDeterminantFactored(factorSpd([4, 2, 2, 3], 2) as Float64Array, 2)).toBeCloseTo(Math.log(8), 14);
    expect(factorSpd([1, 1, 1, 1], 2)).toBeNull();
    expect(factorSpd([1, 2, 2, 1], 2)).toBeNull();
    expect(() => solveSpd([0], [1], 1)).toThrow(/not positive definite/);
  });

  it('throws on shapes that do not fit, and on values that are not finite', () => {
    expect(() => fitLinear({ rows: 2, columns: 1, design: [1], observed: [1, 2] })).toThrow(/design must have 2/);
    expect(() => fitLinear({ rows: 2, columns: 1, design: [1, Number.NaN], observed: [1, 2] })).toThrow(/design\[1\]/);
    expect(() => fitLinear({ rows: 2, columns: 1, design: [1, 1], observed: [1, 2], weights: [1, -1] })).toThrow(/weights\[1\]/);
  });
});

describe('refusal', () => {
  it('too-few: as many unknowns as rows', () => {
    expect(fitLinear({ rows: 2, columns: 2, design: [1, 0, 1, 1], observed: [1, 2] })).toMatchObject({ ok: false, why: 'too-few' });
  });

  it('degenerate: two columns that are the same', () => {
    const design = [1, 1, 2, 2, 3, 3, 4, 4];
    expect(fitLinear({ rows: 4, columns: 2, design, observed: [1, 2, 3, 4] })).toMatchObject({ ok: false, why: 'degenerate' });
  });
});
