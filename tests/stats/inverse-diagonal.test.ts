import { describe, expect, it } from 'vitest';
import { coloursApart, inverseDiagonal } from '#lib/stats/inverse-diagonal.ts';
import { factorSpd, inverseSpd } from '#lib/stats/solve-spd.ts';

/** Unknowns on a line whose information falls off with distance, as that of overlapping bumps does. */
function chain(count: number): { matrix: Float64Array; points: Float64Array } {
  const matrix = new Float64Array(count * count);
  for (let i = 0; i < count; i++)
    for (let j = 0; j < count; j++) matrix[i * count + j] = Math.exp(-((i - j) ** 2) / 2) + (i === j ? 1 + (i % 3) : 0);
  return { matrix, points: Float64Array.from({ length: 3 * count }, (_, k) => (k % 3 === 0 ? k / 3 : 0)) };
}

describe('law', () => {
  it('agrees with the diagonal of the full inverse where colours lie far apart', () => {
    const { matrix, points } = chain(60);
    const colours = coloursApart(points, 12);
    const seen = inverseDiagonal(factorSpd(matrix, 60)!, 60, colours);
    const full = inverseSpd(matrix, 60);
    seen.forEach((value, i) => expect(value).toBeCloseTo(full[61 * i], 6));
  });

  it('never gives one colour to neighbours, and asks nothing of what has no colour', () => {
    const { matrix, points } = chain(60);
    const colours = coloursApart(points, 12);
    for (let i = 0; i < 60; i++) for (let j = 0; j < i; j++) if (i - j < 12) expect(colours[i]).not.toBe(colours[j]);
    colours[7] = -1;
    expect(inverseDiagonal(factorSpd(matrix, 60)!, 60, colours)[7]).toBe(0);
  });
});
