/**
 * Tails and quantiles of the chi-square, Student and Fisher distributions.
 *
 * Source  through the incomplete gamma and beta functions, Abramowitz & Stegun 26.4.19, 26.5.27 and 26.6.2;
 *         quantiles by bisection, which always ends and needs no start.
 */
import { betaShare, betaTail } from './beta.ts';
import { gammaQ } from './gamma.ts';

/** P(X > x) for chi-square. Degrees of freedom need not be whole. */
export function chiSquareTail(x: number, freedom: number): number {
  checkFreedom(freedom);
  return gammaQ(freedom / 2, Math.max(0, x) / 2);
}

/** P(|T| > |t|) for Student's t. */
export function studentTwoSided(t: number, freedom: number): number {
  checkFreedom(freedom);
  const square = t * t;
  if (square === Number.POSITIVE_INFINITY) return 0;
  return betaShare(freedom / 2, 0.5, freedom / (freedom + square), square / (freedom + square));
}

/** P(T > t) for Student's t. */
export function studentTail(t: number, freedom: number): number {
  const outside = studentTwoSided(t, freedom) / 2;
  return t >= 0 ? outside : 1 - outside;
}

/** P(F > f) for Fisher's F with `top` and `bottom` degrees of freedom. */
export function fisherTail(f: number, top: number, bottom: number): number {
  checkFreedom(top);
  checkFreedom(bottom);
  if (f === Number.POSITIVE_INFINITY) return 0;
  const part = top * Math.max(0, f);
  return betaTail(top / 2, bottom / 2, part / (part + bottom), bottom / (part + bottom));
}

/** The x beyond which chi-square has the tail p, 0 < p < 1. */
export const chiSquareQuantile = (tail: number, freedom: number): number => crossing((x) => chiSquareTail(x, freedom), tail);

/** The t > 0 beyond which |T| has the share p; for a 95 % interval p is 0.05. */
export const studentTwoSidedQuantile = (share: number, freedom: number): number => crossing((t) => studentTwoSided(t, freedom), share);

/** The f beyond which F has the tail p. */
export const fisherQuantile = (tail: number, top: number, bottom: number): number => crossing((f) => fisherTail(f, top, bottom), tail);

/** Where a falling function of x >= 0 passes `level`, to the last digit or so. */
function crossing(falling: (x: number) => number, level: number): number {
  if (!(level > 0 && level < 1)) throw new RangeError(`a tail must lie between 0 and 1, got ${level}`);
  let high = 1;
  while (falling(high) > level) high *= 2;
  let low = high === 1 ? 0 : high / 2;
  for (let i = 0; i < 200; i++) {
    const middle = (low + high) / 2;
    if (middle <= low || middle >= high) break;
    if (falling(middle) > level) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

function checkFreedom(freedom: number): void {
  if (!(freedom > 0)) throw new RangeError(`degrees of freedom must be above 0, got ${freedom}`);
}
