/**
 * An interval of a mean over clusters of unequal size, such as several pairs of each subject, by drawing subjects anew.
 *
 * Model   subjects are drawn with all they have, as many as there are; the statistic is the mean over all drawn values; the interval runs from the
 *         2.5 % to the 97.5 % quantile of the seeded draws. Past `MOST_DRAWN` subjects the linearised error of the same ratio is used.
 * Source  Davison & Hinkley, Bootstrap Methods and their Application, Cambridge 1997, section 3.8; the linearised error of a ratio:
 *         Cochran, Sampling Techniques, 3rd ed., Wiley 1977, section 2.11.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { quantiles } from './quantile.ts';
import type { Random } from './random.ts';
import { sum } from './sum.ts';
import { COVERAGE_95 } from './uncertainty.ts';

export type ClusterMean = Readonly<{
  clusters: number;
  values: number;
  mean: number;
  ci95: readonly [number, number] /** 0 when the error was linearised. */;
  draws: number;
}>;

const DRAWS = 2000;
const MOST_DRAWN = 2000;
/** With fewer subjects the draws hardly differ, and the interval would be far too short. */
const FEWEST = 6;

export function clusterBootstrapMean(clusters: readonly ArrayLike<number>[], random: Random): Outcome<ClusterMean, 'too-few'> {
  const full = clusters.filter((cluster) => cluster.length > 0);
  if (full.length < FEWEST) return refused('too-few', `Drawing subjects anew needs at least ${FEWEST} of them, got ${full.length}.`);
  const sums = full.map(sum);
  const sizes = full.map((cluster) => cluster.length);
  const values = sum(sizes);
  const centre = sum(sums) / values;
  if (full.length > MOST_DRAWN) {
    const squares = sum(sums.map((total, k) => (total - sizes[k] * centre) ** 2));
    const u = Math.sqrt((squares * full.length) / (full.length - 1)) / values;
    return found({ clusters: full.length, values, mean: centre, ci95: [centre - COVERAGE_95 * u, centre + COVERAGE_95 * u], draws: 0 });
  }
  const means = new Float64Array(DRAWS);
  for (let draw = 0; draw < DRAWS; draw++) {
    let total = 0;
    let count = 0;
    for (let k = 0; k < full.length; k++) {
      const at = random.integer(full.length);
      total += sums[at];
      count += sizes[at];
    }
    means[draw] = total / count;
  }
  const [low, high] = quantiles(means, [0.025, 0.975]);
  return found({ clusters: full.length, values, mean: centre, ci95: [low, high], draws: DRAWS });
}
