/**
 * Probabilities corrected for how many were asked.
 *
 * Source  Holm, Scandinavian Journal of Statistics 6(2):65-70, 1979;
 *         Benjamini & Hochberg, Journal of the Royal Statistical Society B 57(1):289-300, 1995,
 *         doi:10.1111/j.2517-6161.1995.tb02031.x. Adjusted as R's `p.adjust` does.
 */

/** Holm: with these below alpha, the chance of even one false alarm is at most alpha, however the tests depend on each other. */
export function holm(ps: readonly number[]): number[] {
  const order = rising(ps);
  const adjusted = new Array<number>(ps.length);
  let least = 0;
  order.forEach((at, rank) => {
    least = Math.max(least, Math.min(1, (ps.length - rank) * ps[at]));
    adjusted[at] = least;
  });
  return adjusted;
}

/** Benjamini & Hochberg: with these below q, the expected share of false alarms among the alarms is at most q. */
export function benjaminiHochberg(ps: readonly number[]): number[] {
  const order = rising(ps);
  const adjusted = new Array<number>(ps.length);
  let most = 1;
  for (let rank = ps.length; rank >= 1; rank--) {
    const at = order[rank - 1];
    most = Math.min(most, (ps.length / rank) * ps[at]);
    adjusted[at] = most;
  }
  return adjusted;
}

function rising(ps: readonly number[]): number[] {
  ps.forEach((p, i) => {
    if (!(p >= 0 && p <= 1)) throw new RangeError(`ps[${i}] must be from 0 to 1, got ${p}`);
  });
  return ps.map((_, i) => i).sort((i, j) => ps[i] - ps[j]);
}
