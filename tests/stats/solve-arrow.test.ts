import { describe, expect, it } from 'vitest';
import { randomFrom } from '#lib/stats/random.ts';
import { blockVariances, factorArrow, solveArrow } from '#lib/stats/solve-arrow.ts';
import { factorSpd, inverseFactored, solveFactored, solveRows } from '#lib/stats/solve-spd.ts';

/** Parts with so many unknowns each beside a border, and the same as one dense matrix. */
function system(border: number, sizes: readonly number[], seed: number) {
  const random = randomFrom(seed);
  const size = border + sizes.reduce((sum, each) => sum + each, 0);
  const whole = new Float64Array(size * size);
  const own = new Float64Array(border * border);
  for (let i = 0; i < border; i++) {
    own[i * (border + 1)] = 0.2;
    whole[i * (size + 1)] = 0.2;
  }
  let first = border;
  const parts = sizes.map((each) => {
    const n = border + each;
    const root = Float64Array.from({ length: n * (n + 3) }, () => random.normal());
    const part = new Float64Array(n * n);
    const place = (i: number): number => (i < border ? i : first + i - border);
    for (let i = 0; i < n; i++)
      for (let j = 0; j <= i; j++) {
        let sum = i === j ? 0.3 : 0;
        for (let k = 0; k < n + 3; k++) sum += root[i * (n + 3) + k] * root[j * (n + 3) + k];
        part[i * n + j] = sum;
        whole[place(i) * size + place(j)] += sum;
      }
    first += each;
    return part;
  });
  const right = Float64Array.from({ length: size }, () => random.normal());
  return { parts, own, whole, size, right };
}

const offenders = (seen: ArrayLike<number>, expected: ArrayLike<number>): number[] =>
  Array.from(seen).flatMap((value, i) => (Math.abs(value - expected[i]) < 1e-10 * (1 + Math.abs(expected[i])) ? [] : [i]));

describe('law', () => {
  it.each([
    [5, [3]],
    [23, [11, 17, 9]],
    [40, [37, 64]],
    [1, [1, 1, 1, 1]],
  ] as const)('solves and gives variances as the dense system does, border %i', (border, sizes) => {
    const { parts, own, whole, size, right } = system(border, sizes, 11 + border);
    const arrow = factorArrow(parts, own, border)!;
    const dense = factorSpd(whole, size)!;
    let at = border;
    const rights = sizes.map((each) => {
      const part = right.slice(at, at + each);
      at += each;
      return part;
    });
    const x = solveArrow(arrow, right.slice(0, border), rights);
    expect(offenders([...x.border, ...x.blocks.flatMap((part) => [...part])], solveFactored(dense, right, size))).toEqual([]);
    const inverse = inverseFactored(dense, size);
    const diagonal = Float64Array.from({ length: size }, (_, i) => inverse[i * (size + 1)]);
    expect(
      offenders(
        blockVariances(arrow).flatMap((part) => [...part]),
        diagonal.subarray(border),
      ),
    ).toEqual([]);
    // The border's own inverse is that of what is left when the blocks are eliminated.
    const tail = inverseFactored(arrow.tail, border);
    expect(
      offenders(
        Float64Array.from({ length: border }, (_, i) => tail[i * (border + 1)]),
        diagonal.subarray(0, border),
      ),
    ).toEqual([]);
  });

  it('leaves out the variances before the first that is asked', () => {
    const { parts, own } = system(9, [13, 20], 3);
    const arrow = factorArrow(parts, own, 9)!;
    const all = blockVariances(arrow);
    const some = blockVariances(arrow, 5);
    some.forEach((part, v) => {
      expect([...part.subarray(0, 5)]).toEqual([0, 0, 0, 0, 0]);
      expect(offenders(part.subarray(5), all[v].subarray(5))).toEqual([]);
    });
  });

  it('solves many rows at once as it does one, and from a later column on', () => {
    const { whole, size } = system(30, [20], 8);
    const factor = factorSpd(whole, size)!;
    const random = randomFrom(2);
    const rows = Float64Array.from({ length: 7 * size }, (_, k) => (k % size < 19 ? 0 : random.normal()));
    const together = rows.slice();
    solveRows(factor, size, together, 7);
    const later = rows.slice();
    solveRows(factor, size, later, 7, 19);
    expect(offenders(later, together)).toEqual([]);
    const back = Array.from({ length: 7 }, (_, r) =>
      Array.from({ length: size }, (_, i) => {
        let sum = 0;
        for (let k = 0; k <= i; k++) sum += factor[i * size + k] * together[r * size + k];
        return sum;
      }),
    ).flat();
    expect(offenders(back, rows)).toEqual([]);
  });
});

describe('refusal', () => {
  it('gives nothing for a block or a border that is not positive definite', () => {
    const { parts, own } = system(4, [3, 3], 5);
    const broken = parts[1].slice();
    broken[4 * 7 + 4] = -1;
    expect(factorArrow([parts[0], broken], own, 4)).toBeNull();
    expect(
      factorArrow(
        parts,
        own.map((value, k) => (k === 0 ? -1e6 : value)),
        4,
      ),
    ).toBeNull();
  });
});
