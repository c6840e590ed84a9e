import { describe, expect, it } from 'vitest';
import { flowAlongRow } from '#lib/align/flow.ts';
import { addShifts, carriers, restingLattice, shiftAt } from '#lib/align/lattice.ts';

describe('law', () => {
  const lattice = restingLattice(10, 20, 330, 420, 40);

  it('carries every point by weights that are positive, sum to one and keep straight things straight', () => {
    const nodes = new Int32Array(16),
      weights = new Float64Array(16);
    for (const [x, y] of [
      [10, 20],
      [11.5, 33],
      [170, 200],
      [329.9, 419.9],
    ]) {
      carriers(lattice, x, y, nodes, weights);
      expect(weights.every((w) => w >= 0)).toBe(true);
      expect(weights.reduce((s, w) => s + w, 0)).toBeCloseTo(1, 12);
      let [nx, ny] = [0, 0];
      nodes.forEach((n, k) => {
        nx += weights[k] * (lattice.x0 + ((n % lattice.columns) - 1) * lattice.spacing);
        ny += weights[k] * (lattice.y0 + (Math.floor(n / lattice.columns) - 1) * lattice.spacing);
      });
      expect(nx).toBeCloseTo(x, 6);
      expect(ny).toBeCloseTo(y, 6);
    }
  });

  it('moves all by a common shift when every node has it', () => {
    const shifted = { ...lattice, shift: lattice.shift.map((_, i) => (i % 2 ? -3 : 2)) };
    expect(shiftAt(shifted, 123, 234)).toEqual([expect.closeTo(2, 12), expect.closeTo(-3, 12)]);
  });

  it('reads a flow back exactly where it is linear, and beyond its border', () => {
    const flow = { width: 6, height: 5, stride: 4, x: new Float32Array(30), y: new Float32Array(30) };
    for (let j = 0; j < 5; j++)
      for (let i = 0; i < 6; i++) {
        flow.x[6 * j + i] = (i + 0.5) * 4 + 7;
        flow.y[6 * j + i] = (j + 0.5) * 4 - 2;
      }
    const xs = new Float32Array(24),
      ys = new Float32Array(24);
    for (const y of [0.5, 3, 10.25, 19.5]) {
      flowAlongRow(flow, y, 0.5, 1, 24, xs, ys);
      xs.forEach((x, k) => expect(x).toBeCloseTo(k + 0.5 + 7, 3));
      ys.forEach((v) => expect(v).toBeCloseTo(y - 2, 3));
    }
  });
});

describe('law: whole grids', () => {
  it('adds to every cell what shiftAt gives at its centre', () => {
    const lattice = restingLattice(10, 20, 330, 420, 40);
    const bent = { ...lattice, shift: lattice.shift.map((_, i) => Math.sin(i * 1.7) * 5) };
    const x = new Float32Array(50 * 60),
      y = new Float32Array(50 * 60);
    addShifts(bent, 50, 60, 8, x, y);
    for (let k = 0; k < x.length; k += 7) {
      const [dx, dy] = shiftAt(bent, ((k % 50) + 0.5) * 8, (Math.floor(k / 50) + 0.5) * 8);
      expect(x[k]).toBeCloseTo(dx, 4);
      expect(y[k]).toBeCloseTo(dy, 4);
    }
  });
});
