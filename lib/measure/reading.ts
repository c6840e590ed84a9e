/**
 * One number read off one zone, with the error it would have on its own pair of photographs.
 */
import type { MetricId } from '#shared/comparison.ts';
import type { ZoneId } from '#shared/zones.ts';

export type Reading = Readonly<{
  value: number;
  /** Standard uncertainty of the value. */
  u: number;
  /** Standard deviation the value would scatter with if nothing had changed; what a test of no change divides by. */
  uNull: number;
  /** What the value is when nothing changed: 0 for differences, 1 for ratios. */
  rest: 0 | 1;
  /** Probability under no change, where it isn't that of value / uNull (a colour difference has three dimensions). */
  p?: number;
}>;

export type Readings = Partial<Record<MetricId, Reading>>;
export type ZoneReadings = ReadonlyMap<ZoneId, Readings>;

export const difference = (value: number, u: number, uNull = u): Reading => ({ value, u, uNull, rest: 0 });
