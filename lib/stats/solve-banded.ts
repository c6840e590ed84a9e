/**
 * Symmetric positive definite systems whose entries lie near the diagonal.
 *
 * Storage  row i keeps columns i - bandwidth .. i: entry (i, j) is at i * (bandwidth + 1) + (j - i + bandwidth).
 * Source   Golub & Van Loan, Matrix Computations, 4th ed., 4.3.5 (band Cholesky).
 */
export type BandedMatrix = Readonly<{ size: number; bandwidth: number; data: Float64Array }>;

export const bandedMatrix = (size: number, bandwidth: number): BandedMatrix => ({
  size,
  bandwidth,
  data: new Float64Array(size * (bandwidth + 1)),
});

/** Adds to entry (i, j) and so to (j, i); the entry must lie in the band. */
export function addToBanded(matrix: BandedMatrix, i: number, j: number, value: number): void {
  const row = i > j ? i : j;
  const column = i > j ? j : i;
  matrix.data[row * (matrix.bandwidth + 1) + column - row + matrix.bandwidth] += value;
}

/**
 * The Cholesky factor, in the same storage. Throws RangeError when the matrix is not positive definite: the callers
 * add a prior to every unknown, so that would be their mistake and not poor data.
 */
export function factorBanded({ size, bandwidth, data }: BandedMatrix): BandedMatrix {
  const span = bandwidth + 1;
  const l = Float64Array.from(data);
  for (let i = 0; i < size; i++) {
    const first = Math.max(0, i - bandwidth);
    const rowI = i * span - i + bandwidth;
    for (let j = first; j <= i; j++) {
      const rowJ = j * span - j + bandwidth;
      let sum = l[rowI + j];
      for (let k = Math.max(first, j - bandwidth); k < j; k++) sum -= l[rowI + k] * l[rowJ + k];
      if (j < i) l[rowI + j] = sum / l[rowJ + j];
      else {
        if (!(sum > 0)) throw new RangeError(`the matrix is not positive definite at row ${i}`);
        l[rowI + i] = Math.sqrt(sum);
      }
    }
  }
  return { size, bandwidth, data: l };
}

/** Solves with a factor from `factorBanded`. */
export function solveFactoredBanded({ size, bandwidth, data }: BandedMatrix, right: ArrayLike<number>): Float64Array {
  const span = bandwidth + 1;
  const x = Float64Array.from(right);
  for (let i = 0; i < size; i++) {
    const row = i * span - i + bandwidth;
    let sum = x[i];
    for (let k = Math.max(0, i - bandwidth); k < i; k++) sum -= data[row + k] * x[k];
    x[i] = sum / data[row + i];
  }
  for (let i = size - 1; i >= 0; i--) {
    const row = i * span - i + bandwidth;
    x[i] /= data[row + i];
    for (let k = Math.max(0, i - bandwidth); k < i; k++) x[k] -= data[row + k] * x[i];
  }
  return x;
}
