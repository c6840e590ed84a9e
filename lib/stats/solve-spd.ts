/**
 * Dense symmetric positive definite systems: factor, solve, invert.
 *
 * Storage  n x n, row-major, flat; only the lower triangle of an input is read.
 * Source   Golub & Van Loan, Matrix Computations, 4th ed., 4.2.5 (Cholesky by rows, so that every inner loop runs
 *          along memory). No pivoting: callers scale their unknowns, or give each a prior.
 */

/** The lower factor L of A = L L', zeros above; null when A is not positive definite to working precision. */
export function factorSpd(matrix: ArrayLike<number>, size: number): Float64Array | null {
  checkSize(matrix, size * size, 'matrix');
  const l = new Float64Array(size * size);
  for (let i = 0; i < size; i++) {
    const rowI = i * size;
    for (let j = 0; j < i; j++) {
      const rowJ = j * size;
      l[rowI + j] = (matrix[rowI + j] - dot(l, rowI, rowJ, j)) / l[rowJ + j];
    }
    const diagonal = matrix[rowI + i];
    const left = diagonal - dot(l, rowI, rowI, i);
    // What is left of the diagonal after cancelling all but rounding says that a row repeats those before it.
    if (!(left > diagonal * size * Number.EPSILON)) return null;
    l[rowI + i] = Math.sqrt(left);
  }
  return l;
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
