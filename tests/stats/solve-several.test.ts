import { describe, expect, it } from 'vitest';
import { randomFrom } from '#lib/stats/random.ts';
import { covarianceOf } from '#lib/stats/solve-several.ts';
import { factorSpd, solveFactored } from '#lib/stats/solve-spd.ts';

describe('law', () => {
  it('gives the covariances of 1 to 17 right sides as solving them one by one does', () => {
    const random = randomFrom(5);
    const size = 37;
    const root = Float64Array.from({ length: size * size }, () => random.normal());
    const matrix = new Float64Array(size * size);
    for (let i = 0; i < size; i++)
      for (let j = 0; j < size; j++) {
        for (let k = 0; k < size; k++) matrix[i * size + j] += root[i * size + k] * root[j * size + k];
        if (i === j) matrix[i * size + j] += 1;
      }
    const factor = factorSpd(matrix, size)!;
    for (const count of [1, 7, 8, 9, 17]) {
      // Some start with zeros, which the work leaves out, and some are short.
      const rights = Array.from({ length: count }, (_, k) =>
        Float64Array.from({ length: size - (k % 3) }, (_, i) => (i < 2 * k ? 0 : random.normal())),
      );
      const covariance = covarianceOf(factor, rights, size);
      const offenders = rights.flatMap((right, a) => {
        const whole = new Float64Array(size);
        whole.set(right);
        const x = solveFactored(factor, whole, size);
        return rights.flatMap((other, b) => {
          const expected = other.reduce((sum, value, i) => sum + value * x[i], 0);
          return Math.abs(covariance[a * count + b] - expected) < 1e-9 * (1 + Math.abs(expected)) ? [] : [[a, b]];
        });
      });
      expect(offenders).toEqual([]);
    }
  });

  it('gives the inverse for unit vectors, and nothing for no right sides', () => {
    const factor = factorSpd([4, 0, 0, 0, 2, 0, 0, 0, 1], 3)!;
    const covariance = covarianceOf(factor, [[1], [0, 1], [0, 0, 1]], 3);
    [0.25, 0, 0, 0, 0.5, 0, 0, 0, 1].forEach((value, k) => {
      expect(covariance[k]).toBeCloseTo(value, 12);
    });
    expect(covarianceOf(factor, [], 3)).toHaveLength(0);
  });
});
