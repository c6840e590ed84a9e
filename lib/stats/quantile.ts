/**
 * Quantiles, the median and the median absolute deviation.
 *
 * Model   R's type 7: linear between the order statistics, with the p-quantile at (n - 1) p, counting from 0.
 * Source  Hyndman & Fan, The American Statistician 50(4):361-365, 1996, doi:10.1080/00031305.1996.10473566;
 *         selection: Floyd & Rivest, CACM 18(3):173, 1975, doi:10.1145/360680.360694.
 *
 * NaN is refused by a throw: a missing value must be left out on purpose, never by sorting order.
 */

/** Makes the median absolute deviation estimate the standard deviation of a normal: 1 / (normal quantile of 3/4). */
export const NORMAL_FROM_MAD = 1.482602218505602;

/** The p-quantile, 0 <= p <= 1, of at least one value; linear time. The input is left as it was. */
export function quantile(values: ArrayLike<number>, p: number): number {
  return quantileInPlace(copyOf(values), p);
}

/** Several quantiles of the same values, for the price of one sort. */
export function quantiles(values: ArrayLike<number>, ps: readonly number[]): number[] {
  const sorted = copyOf(values).sort();
  return ps.map((p) => {
    const at = placeOf(p, sorted.length);
    const low = Math.floor(at);
    return between(sorted[low], sorted[Math.min(low + 1, sorted.length - 1)], at - low);
  });
}

export const median = (values: ArrayLike<number>): number => quantile(values, 0.5);

/** Median of the distances from the median, or from `centre`; times NORMAL_FROM_MAD it estimates a standard deviation. */
export function medianAbsoluteDeviation(values: ArrayLike<number>, centre = median(values)): number {
  const distances = copyOf(values);
  for (let i = 0; i < distances.length; i++) distances[i] = Math.abs(distances[i] - centre);
  return quantileInPlace(distances, 0.5);
}

/**
 * The weighted median: half the weight lies on either side. Where the half falls exactly between two values, their
 * middle. Weights are at least 0 and not all 0.
 */
export function weightedMedian(values: ArrayLike<number>, weights: ArrayLike<number>): number {
  if (values.length !== weights.length)
    throw new RangeError(`one weight a value, got ${values.length} values and ${weights.length} weights`);
  copyOf(values); // for its checks
  const order = Array.from(values, (_, i) => i).sort((i, j) => values[i] - values[j]);
  let total = 0;
  for (const i of order) {
    if (!(weights[i] >= 0)) throw new RangeError(`weights must be at least 0, got ${weights[i]}`);
    total += weights[i];
  }
  if (!(total > 0)) throw new RangeError('at least one weight must be above 0');
  const weighed = order.filter((i) => weights[i] > 0);
  let passed = 0;
  for (let k = 0; k < weighed.length; k++) {
    passed += weights[weighed[k]];
    if (passed === total / 2 && k + 1 < weighed.length) return (values[weighed[k]] + values[weighed[k + 1]]) / 2;
    if (passed >= total / 2) return values[weighed[k]];
  }
  return values[weighed[weighed.length - 1]];
}

function copyOf(values: ArrayLike<number>): Float64Array {
  if (values.length === 0) throw new RangeError('a quantile needs at least 1 value, got 0');
  const copy = Float64Array.from(values);
  for (let i = 0; i < copy.length; i++) if (Number.isNaN(copy[i])) throw new RangeError(`value ${i} is not a number; leave it out`);
  return copy;
}

function placeOf(p: number, length: number): number {
  if (!(p >= 0 && p <= 1)) throw new RangeError(`p must be from 0 to 1, got ${p}`);
  return (length - 1) * p;
}

/** Without the product when the two are equal, so that infinities and exact values survive. */
const between = (low: number, high: number, share: number): number => (share === 0 || low === high ? low : low + (high - low) * share);

/** Reorders `values`. */
function quantileInPlace(values: Float64Array, p: number): number {
  const at = placeOf(p, values.length);
  const low = Math.floor(at);
  select(values, low, 0, values.length - 1);
  if (at === low) return values[low];
  // What comes after the selected place is not less than it; the least of that is the next order statistic.
  let high = values[low + 1];
  for (let i = low + 2; i < values.length; i++) if (values[i] < high) high = values[i];
  return between(values[low], high, at - low);
}

/** Reorders so that place k holds what sorting would put there, less or equal before it, more or equal after. */
function select(values: Float64Array, k: number, from: number, to: number): void {
  let left = from;
  let right = to;
  while (right > left) {
    if (right - left > 600) {
      // Select a small sample's quantiles first, so that the cut falls close to k.
      const n = right - left + 1;
      const m = k - left + 1;
      const z = Math.log(n);
      const s = 0.5 * Math.exp((2 * z) / 3);
      const sd = 0.5 * Math.sqrt((z * s * (n - s)) / n) * (m < n / 2 ? -1 : 1);
      select(values, k, Math.max(left, Math.floor(k - (m * s) / n + sd)), Math.min(right, Math.floor(k + ((n - m) * s) / n + sd)));
    }
    const pivot = values[k];
    let i = left;
    let j = right;
    swap(values, left, k);
    if (values[right] > pivot) swap(values, left, right);
    while (i < j) {
      swap(values, i++, j--);
      while (values[i] < pivot) i++;
      while (values[j] > pivot) j--;
    }
    if (values[left] === pivot) swap(values, left, j);
    else swap(values, ++j, right);
    if (j <= k) left = j + 1;
    if (k <= j) right = j - 1;
  }
}

function swap(values: Float64Array, i: number, j: number): void {
  const kept = values[i];
  values[i] = values[j];
  values[j] = kept;
}
