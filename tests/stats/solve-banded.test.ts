import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { addToBanded, bandedMatrix, factorBanded, solveFactoredBanded } from '#lib/stats/solve-banded.ts';
import { solveSpd } from '#lib/stats/solve-spd.ts';

describe('law', () => {
  it('agrees with the dense solver on random banded systems', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 40 }),
        fc.integer({ min: 0, max: 7 }),
        fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 400, maxLength: 400 }),
        (size, band, numbers) => {
          const banded = bandedMatrix(size, band);
          const dense = new Float64Array(size * size);
          let next = 0;
          for (let i = 0; i < size; i++)
            for (let j = Math.max(0, i - band); j <= i; j++) {
              const value = i === j ? 2 * band + 2 : numbers[next++ % 400];
              addToBanded(banded, i, j, value);
              dense[i * size + j] = dense[j * size + i] = value;
            }
          const right = Float64Array.from({ length: size }, (_, i) => numbers[(i * 7) % 400]);
          const x = solveFactoredBanded(factorBanded(banded), right);
          const y = solveSpd(dense, right, size);
          return x.every((value, i) => Math.abs(value - y[i]) < 1e-10);
        },
      ),
      { numRuns: 60, seed: 11 },
    );
  });
});

describe('refusal', () => {
  it('throws on a matrix that is not positive definite', () => {
    const matrix = bandedMatrix(2, 1);
    addToBanded(matrix, 0, 0, 1);
    addToBanded(matrix, 1, 0, 2);
    addToBanded(matrix, 1, 1, 1);
    expect(() => factorBanded(matrix)).toThrow(/positive definite at row 1/);
  });
});
