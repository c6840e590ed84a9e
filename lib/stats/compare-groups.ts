/**
 * Groups of unequal size and scatter: Welch's comparison of means, and Brown & Forsythe's of variances.
 *
 * Source  Welch, Biometrika 34(1-2):28-35, 1947, doi:10.1093/biomet/34.1-2.28, and 38(3-4):330-336, 1951,
 *         doi:10.1093/biomet/38.3-4.330; Brown & Forsythe, JASA 69(346):364-367, 1974, doi:10.1080/01621459.1974.10482955.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { median } from './quantile.ts';
import { mean, sampleVariance, sum, sumOfSquaredDeviations } from './sum.ts';
import { fisherTail, studentTwoSided, studentTwoSidedQuantile } from './tails.ts';

export type FisherTest = Readonly<{ f: number; top: number; bottom: number; p: number }>;
export type WelchDifference = Readonly<{
  difference: number;
  u: number;
  ci95: readonly [number, number];
  t: number;
  freedom: number;
  p: number;
}>;
type Why = 'too-few' | 'no-spread';
type Groups = readonly ArrayLike<number>[];

/** `second` less `first`. */
export function welchDifference(first: ArrayLike<number>, second: ArrayLike<number>): Outcome<WelchDifference, Why> {
  const refusal = unfit([first, second]);
  if (refusal) return refusal;
  const [a, b] = [sampleVariance(first) / first.length, sampleVariance(second) / second.length];
  const u = Math.sqrt(a + b);
  const freedom = (a + b) ** 2 / (a ** 2 / (first.length - 1) + b ** 2 / (second.length - 1));
  const difference = mean(second) - mean(first);
  const half = studentTwoSidedQuantile(0.05, freedom) * u;
  const t = difference / u;
  return found({ difference, u, ci95: [difference - half, difference + half], t, freedom, p: studentTwoSided(t, freedom) });
}

/** Whether all means could be equal, without taking the variances to be. */
export function welchAnova(groups: Groups): Outcome<FisherTest, Why> {
  const refusal = unfit(groups);
  if (refusal) return refusal;
  const k = groups.length;
  const variances = groups.map(sampleVariance);
  if (variances.some((variance) => !(variance > 0)))
    return refused('no-spread', 'In one group all values are equal, so that its mean would seem to be known exactly.');
  const weights = groups.map((group, i) => group.length / variances[i]);
  const total = sum(weights);
  const means = groups.map(mean);
  const centre = sum(weights.map((w, i) => w * means[i])) / total;
  const lambda = sum(weights.map((w, i) => (1 - w / total) ** 2 / (groups[i].length - 1)));
  const f = sum(weights.map((w, i) => w * (means[i] - centre) ** 2)) / (k - 1) / (1 + (2 * (k - 2) * lambda) / (k * k - 1));
  const bottom = (k * k - 1) / (3 * lambda);
  return found({ f, top: k - 1, bottom, p: fisherTail(f, k - 1, bottom) });
}

/** Whether all variances could be equal: an analysis of variance of the distances from each group's median. */
export function brownForsythe(groups: Groups): Outcome<FisherTest, Why> {
  const refusal = unfit(groups);
  if (refusal) return refusal;
  const distances = groups.map((group) => {
    const centre = median(group);
    return Float64Array.from(group, (value) => Math.abs(value - centre));
  });
  const n = sum(groups.map((group) => group.length));
  const grand = sum(distances.map(sum)) / n;
  const between = sum(distances.map((each) => each.length * (mean(each) - grand) ** 2));
  const within = sum(distances.map(sumOfSquaredDeviations));
  const [top, bottom] = [groups.length - 1, n - groups.length];
  if (!(within > 0))
    return refused('no-spread', 'All values lie equally far from the middle of their group, so their scatter has no error.');
  const f = between / top / (within / bottom);
  return found({ f, top, bottom, p: fisherTail(f, top, bottom) });
}

function unfit(groups: Groups): ReturnType<typeof refused<Why>> | null {
  const sizes = groups.map((group) => group.length);
  if (groups.length < 2 || sizes.some((size) => size < 2))
    return refused('too-few', `Comparing groups needs two or more groups of at least 2 subjects, got ${sizes.join(', ') || 'none'}.`);
  if (groups.every((group) => !(sumOfSquaredDeviations(group) > 0)))
    return refused('no-spread', 'Within every group all values are equal, so nothing says what chance could do.');
  return null;
}
