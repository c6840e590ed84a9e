/**
 * Least squares of observations that share errors: everything is divided by the Cholesky factor of their covariance, and is plain then.
 * Source  Aitken's generalised least squares; Golub & Van Loan, Matrix Computations, 4th ed., 6.1.2.
 */

/** Solves L w = v for the lower factor L of V. */
export function whitener(lower: Float64Array, n: number): (values: readonly number[]) => number[] {
  return (values) => {
    const out = new Array<number>(n);
    for (let i = 0; i < n; i++) {
      let left = values[i]!;
      for (let k = 0; k < i; k++) left -= lower[i * n + k]! * out[k]!;
      out[i] = left / lower[i * n + i]!;
    }
    return out;
  };
}

/** Least squares of y on one or two columns; coefficients and what is left. */
export function project(columns: readonly (readonly number[])[], y: readonly number[]): { coefficients: number[]; squares: number } {
  const dot = (a: readonly number[], b: readonly number[]): number => a.reduce((total, value, i) => total + value * b[i]!, 0);
  const [a, b] = columns as [readonly number[], readonly number[] | undefined];
  const aa = dot(a, a);
  let coefficients: number[];
  if (!b) coefficients = [dot(a, y) / aa];
  else {
    // The second column made perpendicular to the first keeps the digits that normal equations lose.
    const share = dot(a, b) / aa;
    const apart = b.map((value, i) => value - share * a[i]!);
    const second = dot(apart, y) / dot(apart, apart);
    coefficients = [dot(a, y) / aa - share * second, second];
  }
  const squares = y.reduce((total, value, i) => total + (value - columns.reduce((f, c, k) => f + coefficients[k]! * c[i]!, 0)) ** 2, 0);
  return { coefficients, squares };
}
