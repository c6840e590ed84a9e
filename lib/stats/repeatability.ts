/**
 * How well a measurement repeats itself, and the smallest change that it can detect.
 *
 * Model   SEM is the within-subject standard deviation, pooled over subjects measured repeatedly with nothing changed;
 *         the smallest detectable change of one subject is 1.96 sqrt(2) SEM, of the mean of n subjects that over sqrt(n).
 * Source  Bland & Altman, British Medical Journal 313:744, 1996, doi:10.1136/bmj.313.7059.744;
 *         Weir, Journal of Strength and Conditioning Research 19(1):231-240, 2005, doi:10.1519/15184.1;
 *         formulas are reported as COSMIN asks, BMC Medical Research Methodology 20:293, 2020, doi:10.1186/s12874-020-01179-5.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { sum, sumOfSquaredDeviations } from './sum.ts';
import { chiSquareQuantile } from './tails.ts';
import { COVERAGE_95 } from './uncertainty.ts';

export type Repeatability = Readonly<{
  /** Standard error of measurement, in the unit of the readings. */
  sem: number;
  /** 95 % interval of the SEM, from chi-square. */
  semCi95: readonly [number, number];
  freedom: number;
  /** Smallest detectable change of one subject, two-sided 95 %, and its interval, which is the SEM's. */
  sdc: number;
  sdcCi95: readonly [number, number];
}>;

/** `subjects` holds the repeated readings of each subject; those with fewer than 2 add nothing. */
export function repeatability(subjects: readonly ArrayLike<number>[]): Outcome<Repeatability, 'too-few'> {
  const repeated = subjects.filter((readings) => readings.length >= 2);
  const freedom = repeated.reduce((total, readings) => total + readings.length - 1, 0);
  if (freedom < 1) return refused('too-few', 'No subject was measured twice; measure at least one again with nothing changed.');
  return found(repeatabilityFrom(sum(repeated.map(sumOfSquaredDeviations)) / freedom, freedom));
}

/** The same from a within-subject variance and its degrees of freedom, which need not be whole. Throws RangeError below 0. */
export function repeatabilityFrom(variance: number, freedom: number): Repeatability {
  if (!(variance >= 0)) throw new RangeError(`a variance must be at least 0, got ${variance}`);
  const sem = Math.sqrt(variance);
  const bound = (tail: number): number => Math.sqrt((variance * freedom) / chiSquareQuantile(tail, freedom));
  const semCi95: [number, number] = [bound(0.025), bound(0.975)];
  const sdcCi95: [number, number] = [smallestDetectableChange(semCi95[0]), smallestDetectableChange(semCi95[1])];
  return { sem, semCi95, freedom, sdc: smallestDetectableChange(sem), sdcCi95 };
}

/** From the SEM to the smallest detectable change, of one subject or of the mean of `n`. */
export const smallestDetectableChange = (sem: number, n = 1): number => (COVERAGE_95 * Math.SQRT2 * sem) / Math.sqrt(n);

/** SEM from the standard deviation between subjects and a reliability (Weir 2005); tied to the sample that gave both. */
export const semFromReliability = (deviation: number, icc: number): number => deviation * Math.sqrt(1 - icc);
