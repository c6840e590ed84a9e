/** An even choice of a long list, both ends kept, for figures: a report of 10^5 pairs must not carry 10^5 points. */

/** At most `most` (2 or more) of them, in their order. */
export function thinned<T>(list: readonly T[], most: number): T[] {
  if (list.length <= most) return [...list];
  return Array.from({ length: most }, (_, k) => list[Math.round((k * (list.length - 1)) / (most - 1))]);
}
