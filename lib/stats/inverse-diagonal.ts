/**
 * The diagonal of an inverse without the inverse, where far unknowns hardly depend on each other.
 *
 * Model   unknowns of one colour lie so far apart that their covariances vanish; then the inverse times the colour's indicator
 *         shows each of their variances at its own place. One solve for each colour instead of one for each unknown.
 * Source  Tang & Saad, Numerical Linear Algebra with Applications 19(3):485-501, 2012 (probing).
 */
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

/** Right sides solved in one walk over the factor, which is larger than the cache: one walk for eight costs little more than for one. */
const TOGETHER = 8;

/** L L' x = b in place for eight right sides, interleaved; written out, because an inner loop over eight is three times slower. */
function solveTogether(l: Float64Array, x: Float64Array, size: number): void {
  for (let i = 0; i < size; i++) {
    const row = i * size;
    const at = 8 * i;
    let [a, b, c, d, e, f, g, h] = [x[at], x[at + 1], x[at + 2], x[at + 3], x[at + 4], x[at + 5], x[at + 6], x[at + 7]];
    for (let k = 0, p = 0; k < i; k++, p += 8) {
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
  for (let i = size - 1; i >= 0; i--) {
    const row = i * size;
    const at = 8 * i;
    setEight(x, at, 1 / l[row + i], x[at], x[at + 1], x[at + 2], x[at + 3], x[at + 4], x[at + 5], x[at + 6], x[at + 7]);
    const [a, b, c, d, e, f, g, h] = [x[at], x[at + 1], x[at + 2], x[at + 3], x[at + 4], x[at + 5], x[at + 6], x[at + 7]];
    for (let k = 0, p = 0; k < i; k++, p += 8) {
      const v = l[row + k];
      x[p] -= v * a;
      x[p + 1] -= v * b;
      x[p + 2] -= v * c;
      x[p + 3] -= v * d;
      x[p + 4] -= v * e;
      x[p + 5] -= v * f;
      x[p + 6] -= v * g;
      x[p + 7] -= v * h;
    }
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
