/**
 * Dense symmetric positive definite systems: factor, solve, invert.
 *
 * Storage  n x n, row-major, flat; only the lower triangle of an input is read.
 * Source   Golub & Van Loan, Matrix Computations, 4th ed., 4.2.5 and 4.2.9 (Cholesky by blocks of columns, every inner
 *          loop along memory). No pivoting: callers scale their unknowns, or give each a prior.
 */
import { dot, type Rows, subtractProducts } from './subtract-products.ts';

/** Columns factored together; within a block the work goes one product at a time. */
const BLOCK = 16;

/** The lower factor L of A = L L', zeros above; null when A is not positive definite to working precision. */
export function factorSpd(matrix: ArrayLike<number>, size: number): Float64Array | null {
  checkSize(matrix, size * size, 'matrix');
  const l = new Float64Array(size * size);
  for (let i = 0; i < size; i++) for (let j = 0, at = i * size; j <= i; j++, at++) l[at] = matrix[at];
  const rows = (at: number): Rows => ({ data: l, at, stride: size });
  for (let first = 0; first < size; first += BLOCK) {
    const end = Math.min(first + BLOCK, size);
    const corner = first * size;
    // What the columns before leave of this block and of all below it.
    subtractProducts(rows(corner + first), rows(corner), end - first, rows(corner), end - first, first, true);
    for (let i = first; i < end; i++) {
      const row = i * size;
      for (let j = first; j < i; j++) l[row + j] = (l[row + j] - dot(l, row + first, l, j * size + first, j - first)) / l[j * size + j];
      for (let j = i + 1; j < end; j++) l[row + j] = 0; // tiles reach over the diagonal
      const left = l[row + i] - dot(l, row + first, l, row + first, i - first);
      // What is left of the diagonal after cancelling all but rounding says that a row repeats those before it.
      if (!(left > matrix[row + i] * size * Number.EPSILON)) return null;
      l[row + i] = Math.sqrt(left);
    }
    solveBlock(l, size, first, end, l, end * size, size, size - end);
  }
  return l;
}

/**
 * Solves x L' = r in place for each of `count` rows (count, size) of `rights`: with r the rows of R, what is left is R L'^-1.
 * For one right side it is the forward half of a solution, L^-1 r. Columns before `start` must be zero, and stay so.
 */
export function solveRows(factor: Float64Array, size: number, rights: Float64Array, count: number, start = 0): void {
  checkSize(rights, count * size, 'right sides');
  for (let first = start; first < size; first += BLOCK)
    solveBlock(factor, size, first, Math.min(first + BLOCK, size), rights, 0, size, count, start);
}

/** Columns first to end of x L' = r, for `count` rows of `x` from `at`, whose columns from `start` to `first` are solved. */
function solveBlock(
  l: Float64Array,
  size: number,
  first: number,
  end: number,
  x: Float64Array,
  at: number,
  stride: number,
  count: number,
  start = 0,
): void {
  const above = { data: l, at: first * size + start, stride: size };
  subtractProducts({ data: x, at: at + first, stride }, { data: x, at: at + start, stride }, count, above, end - first, first - start);
  for (let i = 0, row = at; i < count; i++, row += stride)
    for (let j = first; j < end; j++) {
      let left = x[row + j];
      for (let k = first, p = j * size + first; k < j; k++, p++) left -= x[row + k] * l[p];
      x[row + j] = left / l[j * size + j];
    }
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

function checkSize(values: ArrayLike<number>, expected: number, name: string): void {
  if (values.length !== expected) throw new RangeError(`${name} must have ${expected} entries, got ${values.length}`);
}
