/** The reach of a zero-centred scale: the same on both sides, and a round number, so that ticks can be read. */

/** 1, 2 or 5 times a power of ten, at least `least`: the first that reaches `largest`. */
export function niceSpan(largest: number, least: number): number {
  if (!(least > 0)) throw new RangeError(`the least span must be positive, got ${least}`);
  const wanted = Math.max(Math.abs(largest), least);
  const power = 10 ** Math.floor(Math.log10(wanted) + 1e-9);
  const step = [1, 2, 5, 10].find((s) => s * power >= wanted * (1 - 1e-9))!;
  // Written and read again, so that 5 * 0.1 is 0.5 and not its neighbour.
  return Number((step * power).toPrecision(1));
}

/** The share of values that a map's colours should tell apart; the few beyond take the end's colour. */
const REACH = 0.995;
/** The upper half of a float's bits, sign left out, grows with its size: bins 1 % wide, whatever the outliers. Source: IEEE 754 binary32. */
const BINS = 0x7f80;

/** A span for a field: the REACH quantile of its sizes to 1 %, rounded up. NaN is passed over; an empty field gets `least`. */
export function fieldSpan(field: Float32Array, least: number): number {
  const bits = new Uint32Array(field.buffer, field.byteOffset, field.length);
  const bins = new Uint32Array(BINS);
  let count = 0;
  for (const word of bits) {
    const bin = (word & 0x7fffffff) >>> 16;
    if (bin >= BINS) continue; // not a number, or infinite
    bins[bin]!++;
    count++;
  }
  if (count === 0) return least;
  let bin = 0;
  for (let seen = bins[0]!; seen < REACH * count; seen += bins[bin]!) bin++;
  return niceSpan(new Float32Array(Uint32Array.of(bin << 16).buffer)[0]!, least);
}
