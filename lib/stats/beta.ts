/**
 * The regularised incomplete beta function, from which Student's and Fisher's tails follow.
 *
 * Source  the continued fraction DLMF 8.17.22, by Lentz, on the side of the mean where it converges fast.
 *         NIST Digital Library of Mathematical Functions, https://dlmf.nist.gov/.
 */
import { logGamma } from './gamma.ts';

/** I_x(a, b) = share of a beta distribution below x; a, b > 0, 0 <= x <= 1. `y` = 1 - x, given apart so that no digits are lost near 1. */
export function betaShare(a: number, b: number, x: number, y = 1 - x): number {
  if (!(a > 0 && b > 0 && x >= 0 && y >= 0)) throw new RangeError(`betaShare needs a, b above 0 and x from 0 to 1, got ${a}, ${b}, ${x}`);
  if (x === 0) return 0;
  if (y === 0) return 1;
  return x < (a + 1) / (a + b + 2) ? below(a, b, x, y) : 1 - below(b, a, y, x);
}

/** 1 - I_x(a, b), exact in the far tail. */
export const betaTail = (a: number, b: number, x: number, y = 1 - x): number => betaShare(b, a, y, x);

function below(a: number, b: number, x: number, y: number): number {
  const front = Math.exp(logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log(y)) / a;
  const TINY = 1e-300;
  const away = (value: number) => (Math.abs(value) < TINY ? TINY : value);
  let c = 1;
  let d = 1 / away(1 - ((a + b) * x) / (a + 1));
  let h = d;
  for (let m = 1; m < 10_000; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / away(1 + even * d);
    c = away(1 + even / c);
    h *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / away(1 + odd * d);
    c = away(1 + odd / c);
    h *= d * c;
    if (Math.abs(d * c - 1) < 1e-16) break;
  }
  return front * h;
}
