/**
 * The diagonal of an inverse without the inverse, where far unknowns hardly depend on each other.
 *
 * Model   unknowns of one colour lie so far apart that their covariances vanish; then the inverse times the colour's indicator
 *         shows each of their variances at its own place. One solve for each colour instead of one for each unknown.
 * Source  Tang & Saad, Numerical Linear Algebra with Applications 19(3):485-501, 2012 (probing).
 */
import { solveTogether, TOGETHER } from './solve-several.ts';

/**
 * (size) diagonal of (L L')^-1 where `colours` (size) is 0 or more, 0 elsewhere; colour -1 is not asked for.
 * Negative values, which far covariances can leave, are raised to zero.
 */
export function inverseDiagonal(factor: Float64Array, size: number, colours: Int16Array): Float64Array {
  const out = new Float64Array(size);
  const most = colours.reduce((a, b) => Math.max(a, b), -1) + 1;
  for (let first = 0; first < most; first += TOGETHER) {
    const x = new Float64Array(size * TOGETHER);
    for (let i = 0; i < size; i++) if (colours[i] >= first && colours[i] < first + TOGETHER) x[i * TOGETHER + colours[i] - first] = 1;
    solveTogether(factor, x, size);
    for (let i = 0; i < size; i++)
      if (colours[i] >= first && colours[i] < first + TOGETHER) out[i] = Math.max(0, x[i * TOGETHER + colours[i] - first]);
  }
  return out;
}

/** Colours (n) such that points of one colour are at least `apart` from each other; greedy, in order. `points` (n, 3). */
export function coloursApart(points: ArrayLike<number>, apart: number): Int16Array {
  const count = points.length / 3;
  const out = new Int16Array(count);
  for (let i = 0; i < count; i++) {
    const taken = new Set<number>();
    for (let j = 0; j < i; j++) {
      const d2 =
        (points[3 * i] - points[3 * j]) ** 2 + (points[3 * i + 1] - points[3 * j + 1]) ** 2 + (points[3 * i + 2] - points[3 * j + 2]) ** 2;
      if (d2 < apart * apart) taken.add(out[j]);
    }
    let colour = 0;
    while (taken.has(colour)) colour++;
    out[i] = colour;
  }
  return out;
}
