/**
 * One factor, several right sides.
 *
 * Storage  the factor as `factorSpd` gives it; right sides interleaved, (size, TOGETHER).
 */
/** Right sides solved in one walk over the factor, which is larger than the cache: one walk for eight costs little more than for one. */
const TOGETHER = 8;

/** L y = b in place, where the right sides are zero before row `first`; written out, because an inner loop over eight is three times slower. */
function forward(l: Float64Array, x: Float64Array, size: number, first: number): void {
  for (let i = first; i < size; i++) {
    const row = i * size;
    const at = 8 * i;
    let [a, b, c, d, e, f, g, h] = [x[at], x[at + 1], x[at + 2], x[at + 3], x[at + 4], x[at + 5], x[at + 6], x[at + 7]];
    for (let k = first, p = 8 * first; k < i; k++, p += 8) {
      const v = l[row + k];
      a -= v * x[p];
      b -= v * x[p + 1];
      c -= v * x[p + 2];
      d -= v * x[p + 3];
      e -= v * x[p + 4];
      f -= v * x[p + 5];
      g -= v * x[p + 6];
      h -= v * x[p + 7];
    }
    setEight(x, at, 1 / l[row + i], a, b, c, d, e, f, g, h);
  }
}

function setEight(
  x: Float64Array,
  at: number,
  factor: number,
  a: number,
  b: number,
  c: number,
  d: number,
  e: number,
  f: number,
  g: number,
  h: number,
): void {
  x[at] = a * factor;
  x[at + 1] = b * factor;
  x[at + 2] = c * factor;
  x[at + 3] = d * factor;
  x[at + 4] = e * factor;
  x[at + 5] = f * factor;
  x[at + 6] = g * factor;
  x[at + 7] = h * factor;
}

/**
 * (m, m) the covariances b' (L L')^-1 c of all pairs of `rights`, row-major, symmetric: with L y = b they are the products of the y,
 * so half of a solution is enough. A right side shorter than `size` is followed by zeros.
 */
export function covarianceOf(factor: Float64Array, rights: readonly ArrayLike<number>[], size: number): Float64Array {
  const count = rights.length;
  const halves: Float64Array[] = [];
  for (let first = 0; first < count; first += TOGETHER) {
    const group = rights.slice(first, first + TOGETHER);
    const x = new Float64Array(size * TOGETHER);
    let start = size;
    group.forEach((right, column) => {
      for (let i = 0; i < right.length; i++) {
        if (right[i] === 0) continue;
        x[i * TOGETHER + column] = right[i];
        start = Math.min(start, i);
      }
    });
    forward(factor, x, size, start);
    group.forEach((_, column) => {
      const half = new Float64Array(size);
      for (let i = start; i < size; i++) half[i] = x[i * TOGETHER + column];
      halves.push(half);
    });
  }
  const out = new Float64Array(count * count);
  for (let a = 0; a < count; a++)
    for (let b = 0; b <= a; b++) {
      let sum = 0;
      for (let i = 0; i < size; i++) sum += halves[a][i] * halves[b][i];
      out[a * count + b] = sum;
      out[b * count + a] = sum;
    }
  return out;
}
