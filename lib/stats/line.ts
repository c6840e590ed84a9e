/**
 * The straight line through points, by least squares, with its uncertainty at any place.
 *
 * Model   y = intercept + slope (x - origin) + noise, the same noise on every y, none on x. Sums are about the means,
 *         so that no digits cancel.
 * Source  JCGM 100:2008 (GUM), H.3.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { mean, sum, sumOfSquaredDeviations } from './sum.ts';

export type Line = Readonly<{
  origin: number;
  intercept: number;
  slope: number;
  uIntercept: number;
  uSlope: number;
  /** Between intercept and slope. */
  correlation: number;
  /** Residual standard deviation, n - 2 degrees of freedom. */
  noise: number;
  rSquared: number;
  freedom: number;
}>;

/** `origin` is the x at which the intercept is taken. */
export function fitLine(x: ArrayLike<number>, y: ArrayLike<number>, origin = 0): Outcome<Line, 'too-few' | 'degenerate'> {
  if (x.length !== y.length) throw new RangeError(`x and y must pair up, got ${x.length} and ${y.length}`);
  const n = x.length;
  if (n < 3) return refused('too-few', `A line and its scatter need at least 3 points, got ${n}.`);
  const mx = mean(x);
  const my = mean(y);
  const sxx = sumOfSquaredDeviations(x);
  if (!(sxx > 0)) return refused('degenerate', 'All points share one x, so no line can be told.');
  const slope = sum(Float64Array.from(x, (value, i) => (value - mx) * (y[i] - my))) / sxx;
  const left = Float64Array.from(x, (value, i) => (y[i] - my - slope * (value - mx)) ** 2);
  const residualSquares = sum(left);
  const noise = Math.sqrt(residualSquares / (n - 2));
  const away = mx - origin;
  const uSlope = noise / Math.sqrt(sxx);
  const uIntercept = noise * Math.sqrt(1 / n + (away * away) / sxx);
  const syy = sumOfSquaredDeviations(y);
  return found({
    origin,
    intercept: my - slope * away,
    slope,
    uIntercept,
    uSlope,
    correlation: -away / Math.sqrt(sxx / n + away * away),
    noise,
    rSquared: syy > 0 ? 1 - residualSquares / syy : 1,
    freedom: n - 2,
  });
}

/** The line at `x`, with the standard uncertainty of the line itself (not of a new reading). */
export function lineAt(line: Line, x: number): Readonly<{ value: number; u: number }> {
  const d = x - line.origin;
  const shared = 2 * d * line.correlation * line.uIntercept * line.uSlope;
  const variance = line.uIntercept ** 2 + d * d * line.uSlope ** 2 + shared;
  return { value: line.intercept + line.slope * d, u: Math.sqrt(Math.max(0, variance)) };
}
