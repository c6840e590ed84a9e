/**
 * Least squares with unknowns that can't be negative.
 *
 * Storage  the normal equations: matrix (n, n) row-major, lower triangle read; right (n).
 * Source   Lawson & Hanson, Solving Least Squares Problems, 1974, chapter 23 (NNLS), on the normal equations as in
 *          Bro & de Jong, J. Chemometrics 11(5):393-401, 1997.
 */
import { solveSpd } from './solve-spd.ts';

/** A gradient under this share of the largest right side counts as zero. */
const TOLERANCE = 1e-9;

/** x >= 0 that minimises x'Ax / 2 - b'x for a positive definite A. Ends after at most 3 n exchanges, as Lawson & Hanson advise. */
export function solveNonNegative(matrix: Float64Array, right: Float64Array, n: number): Float64Array {
  const at = (i: number, j: number): number => (i >= j ? matrix[i * n + j] : matrix[j * n + i]);
  const x = new Float64Array(n);
  const free: number[] = [];
  const tolerance = TOLERANCE * right.reduce((most, b) => Math.max(most, Math.abs(b)), 0);
  for (let exchange = 0; exchange < 3 * n; exchange++) {
    let best = -1;
    let most = tolerance;
    for (let i = 0; i < n; i++) {
      if (free.includes(i)) continue;
      let gradient = right[i];
      for (const j of free) gradient -= at(i, j) * x[j];
      if (gradient > most) [best, most] = [i, gradient];
    }
    if (best < 0) break;
    free.push(best);
    for (;;) {
      const m = free.length;
      const part = new Float64Array(m * m);
      for (let a = 0; a < m; a++) for (let b = 0; b <= a; b++) part[a * m + b] = at(free[a], free[b]);
      const z = solveSpd(
        part,
        free.map((i) => right[i]),
        m,
      );
      if (z.every((value) => value > 0)) {
        x.fill(0);
        free.forEach((i, a) => {
          x[i] = z[a];
        });
        break;
      }
      // Go towards z only until the first unknown meets zero, and let that one go.
      let share = 1;
      free.forEach((i, a) => {
        if (z[a] <= 0) share = Math.min(share, x[i] / (x[i] - z[a] || 1));
      });
      free.forEach((i, a) => {
        x[i] += share * (z[a] - x[i]);
      });
      for (let a = m - 1; a >= 0; a--)
        if (x[free[a]] <= 1e-14) {
          x[free[a]] = 0;
          free.splice(a, 1);
        }
      if (free.length === 0) break;
    }
  }
  return x;
}
