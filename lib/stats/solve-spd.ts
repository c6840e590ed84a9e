/**
 * Dense symmetric positive definite systems: factor, solve, invert.
 *
 * Storage  n x n, row-major, flat; only the lower triangle of an input is read.
 * Source   Golub & Van Loan, Matrix Computations, 4th ed., 4.2.5 and 4.2.9 (Cholesky by blocks of columns, every inner
 *          loop along memory). No pivoting: callers scale their unknowns, or give each a prior.
 */

/** Columns factored together: their rows stay in the cache while all rows below pass by. */
const BLOCK = 32;

/** The lower factor L of A = L L', zeros above; null when A is not positive definite to working precision. */
export function factorSpd(matrix: ArrayLike<number>, size: number): Float64Array | null {
  checkSize(matrix, size * size, 'matrix');
  const l = new Float64Array(size * size);
  for (let first = 0; first < size; first += BLOCK) {
    const end = Math.min(first + BLOCK, size);
    for (let i = first; i < end; i++) {
      const row = i * size;
      for (let j = first; j < i; j++) l[row + j] = (matrix[row + j] - dot(l, row, j * size, j)) / l[j * size + j];
      const diagonal = matrix[row + i];
      const left = diagonal - dot(l, row, row, i);
      // What is left of the diagonal after cancelling all but rounding says that a row repeats those before it.
      if (!(left > diagonal * size * Number.EPSILON)) return null;
      l[row + i] = Math.sqrt(left);
    }
    let i = end;
    for (; i + 1 < size; i += 2) {
      let j = first;
      for (; j + 1 < end; j += 2) twoByTwo(l, matrix, size, i, j);
      for (; j < end; j++)
        for (const row of [i * size, (i + 1) * size]) l[row + j] = (matrix[row + j] - dot(l, row, j * size, j)) / l[j * size + j];
    }
    for (; i < size; i++)
      for (let j = first; j < end; j++) l[i * size + j] = (matrix[i * size + j] - dot(l, i * size, j * size, j)) / l[j * size + j];
  }
  return l;
}

/** Entries (i, j), (i, j + 1), (i + 1, j), (i + 1, j + 1) of the factor at once: each number fetched serves two products. */
function twoByTwo(l: Float64Array, matrix: ArrayLike<number>, size: number, i: number, j: number): void {
  const a = i * size;
  const b = a + size;
  const p = j * size;
  const q = p + size;
  let ap = 0;
  let aq = 0;
  let bp = 0;
  let bq = 0;
  for (let k = 0; k < j; k++) {
    const la = l[a + k];
    const lb = l[b + k];
    const lp = l[p + k];
    const lq = l[q + k];
    ap += la * lp;
    aq += la * lq;
    bp += lb * lp;
    bq += lb * lq;
  }
  const dp = l[p + j];
  const dq = l[q + j + 1];
  const across = l[q + j];
  l[a + j] = (matrix[a + j] - ap) / dp;
  l[b + j] = (matrix[b + j] - bp) / dp;
  l[a + j + 1] = (matrix[a + j + 1] - aq - l[a + j] * across) / dq;
  l[b + j + 1] = (matrix[b + j + 1] - bq - l[b + j] * across) / dq;
}

/** Solves L L' x = b for a factor from `factorSpd`. */
export function solveFactored(factor: Float64Array, right: ArrayLike<number>, size: number): Float64Array {
  checkSize(right, size, 'right side');
  const x = new Float64Array(size);
  for (let i = 0; i < size; i++) {
    let left = right[i];
    for (let k = 0, at = i * size; k < i; k++, at++) left -= factor[at] * x[k];
    x[i] = left / factor[i * size + i];
  }
  for (let i = size - 1; i >= 0; i--) {
    x[i] /= factor[i * size + i];
    for (let k = 0, at = i * size; k < i; k++, at++) x[k] -= factor[at] * x[i];
  }
  return x;
}

/** Solves A x = b. Throws RangeError when A is not positive definite. */
export function solveSpd(matrix: ArrayLike<number>, right: ArrayLike<number>, size: number): Float64Array {
  return solveFactored(factorOrThrow(matrix, size), right, size);
}

/** The full inverse of A, symmetric. Throws RangeError when A is not positive definite. */
export function inverseSpd(matrix: ArrayLike<number>, size: number): Float64Array {
  return inverseFactored(factorOrThrow(matrix, size), size);
}

/** The full inverse of L L' for a factor from `factorSpd`. */
export function inverseFactored(factor: Float64Array, size: number): Float64Array {
  // Row i of `columns` holds column i of the inverse of L, so that both loops below run along memory.
  const columns = new Float64Array(size * size);
  for (let j = 0; j < size; j++) {
    const row = j * size;
    columns[row + j] = 1 / factor[row + j];
    for (let i = j + 1; i < size; i++) {
      let total = 0;
      for (let k = j, at = i * size + j; k < i; k++, at++) total += factor[at] * columns[row + k];
      columns[row + i] = -total / factor[i * size + i];
    }
  }
  const inverse = new Float64Array(size * size);
  for (let i = 0; i < size; i++)
    for (let j = 0; j <= i; j++) {
      let total = 0;
      for (let k = i, a = i * size + i, b = j * size + i; k < size; k++, a++, b++) total += columns[a] * columns[b];
      inverse[i * size + j] = total;
      inverse[j * size + i] = total;
    }
  return inverse;
}

/** Natural logarithm of the determinant of L L'. */
export function logDeterminantFactored(factor: Float64Array, size: number): number {
  let total = 0;
  for (let i = 0; i < size; i++) total += Math.log(factor[i * size + i]);
  return 2 * total;
}

function factorOrThrow(matrix: ArrayLike<number>, size: number): Float64Array {
  const factor = factorSpd(matrix, size);
  if (!factor)
    throw new RangeError(`the ${size} x ${size} matrix is not positive definite; give each unknown a prior or leave out repeated rows`);
  return factor;
}

/** Four sums at a time, which the processor can run side by side. */
function dot(l: Float64Array, a: number, b: number, length: number): number {
  let s0 = 0;
  let s1 = 0;
  let s2 = 0;
  let s3 = 0;
  let k = 0;
  for (; k + 3 < length; k += 4) {
    s0 += l[a + k] * l[b + k];
    s1 += l[a + k + 1] * l[b + k + 1];
    s2 += l[a + k + 2] * l[b + k + 2];
    s3 += l[a + k + 3] * l[b + k + 3];
  }
  for (; k < length; k++) s0 += l[a + k] * l[b + k];
  return s0 + s1 + (s2 + s3);
}

function checkSize(values: ArrayLike<number>, expected: number, name: string): void {
  if (values.length !== expected) throw new RangeError(`${name} must have ${expected} entries, got ${values.length}`);
}
