/** One factor, several right sides. */
import { solveRows } from './solve-spd.ts';
import { dot } from './subtract-products.ts';

/**
 * (m, m) the covariances b' (L L')^-1 c of all pairs of `rights`, row-major, symmetric: with L y = b they are the products of the y,
 * so half of a solution is enough. A right side shorter than `size` is followed by zeros.
 */
export function covarianceOf(factor: Float64Array, rights: readonly ArrayLike<number>[], size: number): Float64Array {
  const count = rights.length;
  const halves = new Float64Array(count * size);
  let start = size;
  rights.forEach((right, r) => {
    halves.set(right, r * size);
    for (let i = 0; i < start && i < right.length; i++) if (right[i] !== 0) start = i;
  });
  solveRows(factor, size, halves, count, start);
  const out = new Float64Array(count * count);
  for (let a = 0; a < count; a++)
    for (let b = 0; b <= a; b++) {
      const product = dot(halves, a * size, halves, b * size, size);
      out[a * count + b] = product;
      out[b * count + a] = product;
    }
  return out;
}
