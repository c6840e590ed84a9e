/**
 * The gamma function's logarithm and the regularised incomplete gamma functions.
 *
 * Source  log-gamma: Stirling's series, DLMF 5.11.1, after a shift to x >= 15, good to 1e-15 relative;
 *         incomplete: the series DLMF 8.7.1 below a + 1, the continued fraction DLMF 8.9.2 (by Lentz) above.
 *         NIST Digital Library of Mathematical Functions, https://dlmf.nist.gov/.
 */

/** Coefficients B_2k / (2k (2k - 1)) of Stirling's series. */
const STIRLING = [1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188, -691 / 360360, 1 / 156, -3617 / 122400] as const;
const SHIFT_TO = 15;
const MOST_TERMS = 10_000;

/** ln Gamma(x), x > 0. */
export function logGamma(x: number): number {
  if (!(x > 0)) throw new RangeError(`logGamma needs x above 0, got ${x}`);
  let z = x;
  let product = 1;
  while (z < SHIFT_TO) product *= z++;
  let series = 0;
  for (let k = STIRLING.length - 1; k >= 0; k--) series = series / (z * z) + STIRLING[k];
  return (z - 0.5) * Math.log(z) - z + 0.5 * Math.log(2 * Math.PI) + series / z - Math.log(product);
}

/** P(a, x): the share of a gamma distribution of shape a below x; a > 0, x >= 0. */
export function gammaP(a: number, x: number): number {
  check(a, x);
  return x < a + 1 ? lowerSeries(a, x) : 1 - upperFraction(a, x);
}

/** Q(a, x) = 1 - P(a, x), without the loss of digits in the far tail. */
export function gammaQ(a: number, x: number): number {
  check(a, x);
  return x < a + 1 ? 1 - lowerSeries(a, x) : upperFraction(a, x);
}

function check(a: number, x: number): void {
  if (!(a > 0) || !(x >= 0)) throw new RangeError(`the incomplete gamma function needs a above 0 and x at least 0, got ${a} and ${x}`);
}

const front = (a: number, x: number): number => Math.exp(a * Math.log(x) - x - logGamma(a));

function lowerSeries(a: number, x: number): number {
  if (x === 0) return 0;
  let term = 1 / a;
  let total = term;
  for (let n = 1; n < MOST_TERMS; n++) {
    term *= x / (a + n);
    total += term;
    if (term < total * 1e-17) break;
  }
  return total * front(a, x);
}

function upperFraction(a: number, x: number): number {
  if (x === Number.POSITIVE_INFINITY) return 0;
  const TINY = 1e-300;
  let b = x + 1 - a;
  let c = 1 / TINY;
  let d = 1 / b;
  let h = d;
  for (let n = 1; n < MOST_TERMS; n++) {
    const an = -n * (n - a);
    b += 2;
    d = an * d + b;
    d = 1 / (Math.abs(d) < TINY ? TINY : d);
    c = b + an / c;
    if (Math.abs(c) < TINY) c = TINY;
    h *= d * c;
    if (Math.abs(d * c - 1) < 1e-16) break;
  }
  return h * front(a, x);
}
