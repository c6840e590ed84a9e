import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { solveNonNegative } from '#lib/stats/non-negative.ts';

describe('law', () => {
  it('meets the conditions of Karush, Kuhn and Tucker on random problems', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 12 }),
        fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 400, maxLength: 400 }),
        (n, numbers) => {
          const rows = 2 * n;
          const matrix = new Float64Array(n * n),
            right = new Float64Array(n);
          for (let r = 0; r < rows; r++)
            for (let a = 0; a < n; a++) {
              right[a] += numbers[r * n + a] * numbers[(r * 31 + 7) % 400];
              for (let b = 0; b < n; b++) matrix[a * n + b] += numbers[r * n + a] * numbers[r * n + b];
            }
          for (let a = 0; a < n; a++) matrix[a * (n + 1)] += 0.1;
          const x = solveNonNegative(matrix, right, n);
          return x.every((value, i) => {
            let gradient = -right[i];
            for (let j = 0; j < n; j++) gradient += matrix[i * n + j] * x[j];
            return value >= 0 && (value > 0 ? Math.abs(gradient) < 1e-7 : gradient > -1e-7);
          });
        },
      ),
      { numRuns: 200, seed: 3 },
    );
  });
});

describe("oracle: scipy.optimize.nnls 1.17 on the documentation's example, A = [[1, 0], [1, 0], [0, 1]]", () => {
  it.each([
    [
      [2, 1, 1],
      [1.5, 1],
    ],
    [
      [-1, -1, -1],
      [0, 0],
    ],
  ])('solves b = %j as %j', (b, expected) => {
    const x = solveNonNegative(Float64Array.of(2, 0, 0, 1), Float64Array.of(b[0] + b[1], b[2]), 2);
    expect([...x]).toEqual(expected.map((value) => expect.closeTo(value, 12)));
  });
});
