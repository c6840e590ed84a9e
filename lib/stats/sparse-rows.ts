/**
 * Linear observations with few non-zero entries each, and the normal equations they add up to.
 *
 * Storage  row i has entries start[i] .. start[i + 1]; dense symmetric matrices are (n, n) row-major with the lower triangle filled.
 */
export type SparseRows = Readonly<{ start: Uint32Array; index: Uint16Array; value: Float64Array }>;

/** Gathers rows one after another. */
export class RowBuilder {
  #start: number[] = [0];
  #index: number[] = [];
  #value: number[] = [];

  add(index: number, value: number): void {
    this.#index.push(index);
    this.#value.push(value);
  }

  endRow(): void {
    this.#start.push(this.#index.length);
  }

  rows(): SparseRows {
    return { start: Uint32Array.from(this.#start), index: Uint16Array.from(this.#index), value: Float64Array.from(this.#value) };
  }
}

/** Adds sum_i w_i a_i a_i' to the lower triangle of `matrix` (n, n). Within a row, indices must ascend. */
export function addNormal(matrix: Float64Array, n: number, { start, index, value }: SparseRows, weights: ArrayLike<number>): void {
  for (let i = 0; i + 1 < start.length; i++) {
    const w = weights[i];
    if (w === 0) continue;
    for (let p = start[i]; p < start[i + 1]; p++) {
      const row = index[p] * n;
      const wp = w * value[p];
      for (let q = start[i]; q <= p; q++) matrix[row + index[q]] += wp * value[q];
    }
  }
}

/** sum_i w_i a_i y_i, length n. */
export function weightedRight(
  n: number,
  { start, index, value }: SparseRows,
  weights: ArrayLike<number>,
  y: ArrayLike<number>,
): Float64Array {
  const out = new Float64Array(n);
  for (let i = 0; i + 1 < start.length; i++) for (let p = start[i]; p < start[i + 1]; p++) out[index[p]] += weights[i] * y[i] * value[p];
  return out;
}

/** a_i x for every row. */
export function timesRows({ start, index, value }: SparseRows, x: ArrayLike<number>): Float64Array {
  const out = new Float64Array(start.length - 1);
  for (let i = 0; i < out.length; i++) for (let p = start[i]; p < start[i + 1]; p++) out[i] += value[p] * x[index[p]];
  return out;
}
