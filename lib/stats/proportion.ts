/**
 * A share of so many cases, with its interval.
 *
 * Source  Wilson, JASA 22(158):209-212, 1927; recommended for small counts by Brown, Cai & DasGupta, Statistical Science
 *         16(2):101-133, 2001, doi:10.1214/ss/1009213286.
 */
import { normalQuantile } from './normal.ts';

export type Proportion = Readonly<{ count: number; of: number; share: number; ci95: readonly [number, number] }>;

/** `count` of `of`; the share is NaN and the interval 0..1 when there are none. Throws RangeError for impossible counts. */
export function proportion(count: number, of: number): Proportion {
  if (!(Number.isInteger(count) && Number.isInteger(of) && count >= 0 && count <= of))
    throw new RangeError(`a share needs 0 <= count <= of, got ${count} of ${of}`);
  if (of === 0) return { count, of, share: Number.NaN, ci95: [0, 1] };
  const z = normalQuantile(0.975);
  const share = count / of;
  const centre = (share + (z * z) / (2 * of)) / (1 + (z * z) / of);
  const half = (z / (1 + (z * z) / of)) * Math.sqrt((share * (1 - share)) / of + (z * z) / (4 * of * of));
  return { count, of, share, ci95: [Math.max(0, centre - half), Math.min(1, centre + half)] };
}
