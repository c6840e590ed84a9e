/**
 * The noncentral t distribution: of (Z + delta) / sqrt(chi-square / freedom). Exact intervals of limits of agreement, of
 * standardised effects and the power of a t test rest on it.
 *
 * Model   P(T <= t) is the integral over s of normalShare(t s - delta) times the density of s = sqrt(chi-square / freedom), by
 *         Gauss and Legendre over panels that end where either factor turns; good to about 1e-12, whatever the shift.
 * Source  the integral: Johnson, Kotz & Balakrishnan, Continuous Univariate Distributions 2, 2nd ed., Wiley 1995, chapter 31;
 *         nodes and weights of sixteen points: Abramowitz & Stegun, table 25.4.
 */
import { logGamma } from './gamma.ts';
import { normalQuantile, normalShare } from './normal.ts';
import { studentTail } from './tails.ts';

const NODES = [
  0.0950125098376374402, 0.281603550779258913, 0.458016777657227386, 0.617876244402643748, 0.755404408355003034, 0.865631202387831744,
  0.944575023073232576, 0.989400934991649933,
];
const WEIGHTS = [
  0.189450610455068496, 0.182603415044923589, 0.169156519395002538, 0.149595988816576732, 0.124628971255533872, 0.0951585116824927848,
  0.0622535239386478929, 0.0271524594117540949,
];
/** Standard deviations beyond which the rest is under 1e-15. */
const REACH = 8.5;
/** On each side of a turn; a panel is then about two standard deviations wide, three far out, where sixteen points leave about 1e-12. */
const PANELS = 4;

/** P(T <= t) with `shift` as the noncentrality. Throws RangeError when degrees of freedom are not above 0. */
export function noncentralTShare(t: number, freedom: number, shift: number): number {
  if (!(freedom > 0)) throw new RangeError(`degrees of freedom must be above 0, got ${freedom}`);
  if (!Number.isFinite(t) || !Number.isFinite(shift)) throw new RangeError(`t and shift must be finite, got ${t} and ${shift}`);
  if (shift === 0) return 1 - studentTail(t, freedom);
  if (t < 0) return 1 - noncentralTShare(-t, freedom, -shift);
  const logFront = Math.LN2 + (freedom / 2) * Math.log(freedom / 2) - logGamma(freedom / 2);
  const integrand = (s: number): number => {
    const z = t * s - shift;
    if (s <= 0 || z < -REACH) return 0;
    const density = Math.exp(logFront + (freedom - 1) * Math.log(s) - (freedom * s * s) / 2);
    return z > REACH ? density : density * normalShare(z);
  };
  const width = 1 / Math.sqrt(2 * freedom);
  const low = Math.max(0, 1 - REACH * 1.5 * width);
  const high = 1 + REACH * (width + 0.5 / freedom);
  // The normal share rises from 0 to 1 around s = shift / t, within a few times 1 / t.
  const cuts = new Set([low, high]);
  for (let k = -PANELS; k <= PANELS; k++) {
    cuts.add(1 + (1.5 * k * REACH * width) / PANELS);
    if (t > 0) cuts.add((shift + (k * REACH) / PANELS) / t);
  }
  const sorted = [...cuts].filter((cut) => cut >= low && cut <= high).sort((a, b) => a - b);
  let total = 0;
  for (let i = 1; i < sorted.length; i++) total += panel(integrand, sorted[i - 1], sorted[i]);
  return Math.min(1, Math.max(0, total));
}

/** The t with P(T <= t) = p, 0 < p < 1. */
export function noncentralTQuantile(p: number, freedom: number, shift: number): number {
  if (!(p > 0 && p < 1)) throw new RangeError(`p must lie between 0 and 1, got ${p}`);
  return crossing((t) => noncentralTShare(t, freedom, shift), p, shift + normalQuantile(p));
}

/** The shift with P(T <= t) = p: falling in the shift. The pivot of exact intervals of a standardised effect. */
export function noncentralTShift(p: number, t: number, freedom: number): number {
  if (!(p > 0 && p < 1)) throw new RangeError(`p must lie between 0 and 1, got ${p}`);
  return -crossing((negative) => noncentralTShare(t, freedom, -negative), p, -t + normalQuantile(p));
}

function panel(f: (s: number) => number, from: number, to: number): number {
  const half = (to - from) / 2;
  const middle = (from + to) / 2;
  let total = 0;
  for (let i = 0; i < NODES.length; i++) total += WEIGHTS[i] * (f(middle - half * NODES[i]) + f(middle + half * NODES[i]));
  return half * total;
}

/** Where a rising function passes `level`: widened from `start` until both sides are had, then by false position as Illinois has it. */
function crossing(rising: (x: number) => number, level: number, start: number): number {
  let [low, high] = [start, start];
  let atLow = rising(start) - level;
  let atHigh = atLow;
  for (let reach = 0.5; atLow > 0; reach *= 2) {
    [high, atHigh] = [low, atLow];
    low -= reach;
    atLow = rising(low) - level;
  }
  for (let reach = 0.5; atHigh < 0; reach *= 2) {
    [low, atLow] = [high, atHigh];
    high += reach;
    atHigh = rising(high) - level;
  }
  // An end that stays has its value halved, so that the other is drawn in; every fourth step halves the interval whatever happens.
  for (let step = 1; step < 200 && high - low > 1e-13 * Math.max(1, Math.abs(low)) && atLow < 0 && atHigh > 0; step++) {
    const next = step % 4 === 0 ? (low + high) / 2 : low + ((high - low) * atLow) / (atLow - atHigh);
    if (next <= low || next >= high) break;
    const value = rising(next) - level;
    if (value === 0) return next;
    if (value < 0) {
      [low, atLow] = [next, value];
      if (step % 4 !== 0) atHigh /= 2;
    } else {
      [high, atHigh] = [next, value];
      if (step % 4 !== 0) atLow /= 2;
    }
  }
  return atLow === 0 ? low : atHigh === 0 ? high : (low + high) / 2;
}
