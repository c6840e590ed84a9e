/** The order of every table of zones: the strongest evidence of a change first, what could not be judged last. */
import type { ZoneResult } from '#shared/comparison.ts';
import { evidence, leadingMetric } from '#shared/finding-words.ts';
import { ZONE_IDS } from '#shared/zones.ts';

/** A sorted copy. Ties, and zones that are not assessable, keep the order of ZONE_IDS. */
export function byEvidence(zones: readonly ZoneResult[]): ZoneResult[] {
  const rank = new Map(zones.map((zone) => [zone, keyOf(zone)]));
  return [...zones].sort((a, b) => {
    const [p, q] = [rank.get(a)!, rank.get(b)!];
    for (let k = 0; k < p.length; k++) if (p[k] !== q[k]) return p[k]! - q[k]!;
    return 0;
  });
}

/** Smaller is first: judged or not, corrected p, p, minus the distance from zero in standard uncertainties, place in the list. */
function keyOf(zone: ZoneResult): number[] {
  const place = ZONE_IDS.indexOf(zone.zone);
  const leading = zone.assessable && zone.finding !== 'not-assessable' ? leadingMetric(zone) : null;
  if (!leading) return [2, 1, 1, 0, place];
  return [zone.finding === 'beyond-error' ? 0 : 1, leading.result.pHolm, leading.result.p, -evidence(leading.result), place];
}
