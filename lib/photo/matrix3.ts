/** 3x3 matrices of colours, row-major in Float64Array(9). */

export type Triple = readonly [number, number, number];

export function apply3(m: Float64Array, v: Triple): Triple {
  const row = (r: number) => m[r] * v[0] + m[r + 1] * v[1] + m[r + 2] * v[2];
  return [row(0), row(3), row(6)];
}

export function times3(a: Float64Array, b: Float64Array): Float64Array {
  return Float64Array.from({ length: 9 }, (_, i) => {
    const r = 3 * ((i / 3) | 0);
    const c = i % 3;
    return a[r] * b[c] + a[r + 1] * b[c + 3] + a[r + 2] * b[c + 6];
  });
}

/** By Cramer's rule, a column at a time. Of a singular matrix the entries are not finite. */
export function inverse3(m: Float64Array): Float64Array {
  const cross = (p: number, q: number): Triple => [
    m[p + 1] * m[q + 2] - m[p + 2] * m[q + 1],
    m[p + 2] * m[q] - m[p] * m[q + 2],
    m[p] * m[q + 1] - m[p + 1] * m[q],
  ];
  const columns = [cross(3, 6), cross(6, 0), cross(0, 3)];
  const determinant = m[0] * columns[0][0] + m[1] * columns[0][1] + m[2] * columns[0][2];
  return Float64Array.from({ length: 9 }, (_, i) => columns[i % 3][(i / 3) | 0] / determinant);
}
