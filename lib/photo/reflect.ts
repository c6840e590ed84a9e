/** The index that half-sample reflection gives to place `i` of a line of `n`. */
export function reflect(i: number, n: number): number {
  const period = 2 * n;
  const k = ((i % period) + period) % period;
  return k < n ? k : period - 1 - k;
}
