/**
 * How many subjects a study needs, and what it can find with those it has.
 *
 * Model   two-sided t tests of a mean change (paired) or of two equal groups; power is exact, by the noncentral t, both tails counted.
 * Source  Cohen, Statistical Power Analysis for the Behavioral Sciences, 2nd ed., Erlbaum 1988, chapter 2; noncentral t as in
 *         Johnson, Kotz & Balakrishnan, Continuous Univariate Distributions 2, 2nd ed., Wiley 1995, chapter 31.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { noncentralTShare } from './noncentral-t.ts';
import { studentTwoSidedQuantile } from './tails.ts';
import { COVERAGE_95 } from './uncertainty.ts';

export type Design = 'paired' | 'two-groups';
export const ALPHA = 0.05;

/** Chance of p < alpha when the mean change is `change`; `n` (in each group) need not be whole. */
export function powerOfT(change: number, sd: number, n: number, design: Design = 'paired', alpha = ALPHA): number {
  if (!(sd > 0)) throw new RangeError(`a standard deviation must be above 0, got ${sd}`);
  if (!(n > 1)) throw new RangeError(`power needs more than 1 subject, got ${n}`);
  const freedom = design === 'paired' ? n - 1 : 2 * (n - 1);
  const shift = (Math.abs(change) / sd) * Math.sqrt(design === 'paired' ? n : n / 2);
  const bound = studentTwoSidedQuantile(alpha, freedom);
  return Math.min(1, Math.max(0, 1 - noncentralTShare(bound, freedom, shift)) + noncentralTShare(-bound, freedom, shift));
}

const MOST = 1e6;

/** The n, not rounded, at which the power is reached (in each group); rounded up it is the number of subjects. */
export function subjectsNeeded(
  change: number,
  sd: number,
  power = 0.8,
  design: Design = 'paired',
  alpha = ALPHA,
): Outcome<number, 'no-change' | 'too-many'> {
  if (!(power > alpha && power < 1)) throw new RangeError(`power must lie between alpha and 1, got ${power}`);
  if (!(Math.abs(change) > 0)) return refused('no-change', 'No number of subjects finds a change of 0; name the change that matters.');
  if (powerOfT(change, sd, MOST, design, alpha) < power)
    return refused('too-many', `More than ${MOST} subjects would be needed; the change is too small beside its scatter.`);
  let low = 1 + 1e-6;
  let high = 2;
  while (powerOfT(change, sd, high, design, alpha) < power) {
    low = high;
    high *= 2;
  }
  if (powerOfT(change, sd, 2, design, alpha) >= power) return found(2);
  for (let i = 0; i < 60 && high - low > 1e-8 * high; i++) {
    const middle = (low + high) / 2;
    if (powerOfT(change, sd, middle, design, alpha) < power) low = middle;
    else high = middle;
  }
  return found((low + high) / 2);
}

/** Standard deviation of one subject's measured change when nothing but error moves it: SDC / 1.96. */
export const errorOfChangeFromSdc = (sdc: number): number => sdc / COVERAGE_95;
