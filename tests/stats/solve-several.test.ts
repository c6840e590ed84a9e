import { describe, expect, it } from 'vitest';
import { randomFrom } from '#lib/stats/random.ts';
import { solveSeveral } from '#lib/stats/solve-several.ts';
import { factorSpd, solveFactored } from '#lib/stats/solve-spd.ts';

describe('law', () => {
  it('answers each of 1 to 17 right sides as solving them one by one does', () => {
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
      const rights = Array.from({ length: count }, () => Float64Array.from({ length: size }, () => random.normal()));
      const offenders = solveSeveral(factor, rights, size).flatMap((x, k) => {
        const one = solveFactored(factor, rights[k], size);
        return x.every((value, i) => Math.abs(value - one[i]) < 1e-9) ? [] : [k];
      });
      expect(offenders).toEqual([]);
    }
  });

  it('takes a short right side as followed by zeros, and none as no question', () => {
    const factor = factorSpd([4, 0, 0, 0, 2, 0, 0, 0, 1], 3)!;
    expect([...solveSeveral(factor, [[8]], 3)[0]]).toEqual([2, 0, 0]);
    expect(solveSeveral(factor, [], 3)).toEqual([]);
  });
});
