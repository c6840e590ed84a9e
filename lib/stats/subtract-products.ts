/**
 * C -= A B', the inner work of every dense factor, solve and elimination here.
 *
 * Storage  row-major, flat; every inner loop runs along memory. Four rows of A and four of B at a time: each number fetched serves four
 *          products, and sixteen sums are kept in registers (twice as fast as two by two, measured).
 */

/** Where a block of rows lies: `data[at + stride * row + column]`. */
export type Rows = Readonly<{ data: Float64Array; at: number; stride: number }>;

/** Subtracts from C (rowsA, rowsB) the products of the rows of A and B over `length` columns. `lower` skips tiles wholly above C's diagonal. */
export function subtractProducts(c: Rows, a: Rows, rowsA: number, b: Rows, rowsB: number, length: number, lower = false): void {
  if (length <= 0) return;
  for (let i = 0; i < rowsA; i += 4) {
    const most = lower ? Math.min(rowsB, i + 4) : rowsB;
    const whole = i + 4 <= rowsA;
    for (let j = 0; j < most; j += 4)
      if (whole && j + 4 <= rowsB) fourByFour(c, a, i, b, j, length);
      else
        for (let p = i; p < Math.min(i + 4, rowsA); p++)
          for (let q = j; q < Math.min(j + 4, rowsB); q++)
            c.data[c.at + p * c.stride + q] -= dot(a.data, a.at + p * a.stride, b.data, b.at + q * b.stride, length);
  }
}

function fourByFour(c: Rows, a: Rows, i: number, b: Rows, j: number, length: number): void {
  const [x, y] = [a.data, b.data];
  const a0 = a.at + i * a.stride;
  const a1 = a0 + a.stride;
  const a2 = a1 + a.stride;
  const a3 = a2 + a.stride;
  const b0 = b.at + j * b.stride;
  const b1 = b0 + b.stride;
  const b2 = b1 + b.stride;
  const b3 = b2 + b.stride;
  let [c00, c01, c02, c03, c10, c11, c12, c13] = [0, 0, 0, 0, 0, 0, 0, 0];
  let [c20, c21, c22, c23, c30, c31, c32, c33] = [0, 0, 0, 0, 0, 0, 0, 0];
  for (let k = 0; k < length; k++) {
    const x0 = x[a0 + k];
    const x1 = x[a1 + k];
    const x2 = x[a2 + k];
    const x3 = x[a3 + k];
    const y0 = y[b0 + k];
    const y1 = y[b1 + k];
    const y2 = y[b2 + k];
    const y3 = y[b3 + k];
    c00 += x0 * y0;
    c01 += x0 * y1;
    c02 += x0 * y2;
    c03 += x0 * y3;
    c10 += x1 * y0;
    c11 += x1 * y1;
    c12 += x1 * y2;
    c13 += x1 * y3;
    c20 += x2 * y0;
    c21 += x2 * y1;
    c22 += x2 * y2;
    c23 += x2 * y3;
    c30 += x3 * y0;
    c31 += x3 * y1;
    c32 += x3 * y2;
    c33 += x3 * y3;
  }
  const to = c.at + i * c.stride + j;
  subtractRow(c.data, to, c00, c01, c02, c03);
  subtractRow(c.data, to + c.stride, c10, c11, c12, c13);
  subtractRow(c.data, to + 2 * c.stride, c20, c21, c22, c23);
  subtractRow(c.data, to + 3 * c.stride, c30, c31, c32, c33);
}

function subtractRow(data: Float64Array, at: number, p: number, q: number, r: number, s: number): void {
  data[at] -= p;
  data[at + 1] -= q;
  data[at + 2] -= r;
  data[at + 3] -= s;
}

/** Four sums at a time, which the processor can run side by side. */
export function dot(x: Float64Array, a: number, y: Float64Array, b: number, length: number): number {
  let [s0, s1, s2, s3] = [0, 0, 0, 0];
  let k = 0;
  for (; k + 3 < length; k += 4) {
    s0 += x[a + k] * y[b + k];
    s1 += x[a + k + 1] * y[b + k + 1];
    s2 += x[a + k + 2] * y[b + k + 2];
    s3 += x[a + k + 3] * y[b + k + 3];
  }
  for (; k < length; k++) s0 += x[a + k] * y[b + k];
  return s0 + s1 + (s2 + s3);
}
