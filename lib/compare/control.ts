/** The negative control: zones that should not change say whether the comparison can be trusted. */

import { holm } from '#lib/stats/multiplicity.ts';
import type { Comparison, MetricId, MetricResult } from '#shared/comparison.ts';
import { type ZoneId, zoneLabel } from '#shared/zones.ts';

/** What a control is judged by. Volume is held near rest there by the fit, so it can't bear witness. */
const WITNESSES = ['lightnessDelta', 'rednessDelta', 'bluenessDelta'] as const satisfies readonly MetricId[];
const LEVEL = 0.01;
/** A control this far from rest is a changed face whatever the error: L*, a* or b* units. */
const PLAIN = 1.5;

/** `lost` are references that spectacles lie before: they bear no witness, and the statement says so. */
export function controlOf(
  judged: ReadonlyMap<ZoneId, Partial<Record<MetricId, MetricResult>>>,
  references: readonly ZoneId[],
  lost: readonly ZoneId[] = [],
): Comparison['control'] {
  const { trusted, statement } = witness(judged, references);
  if (lost.length === 0) return { trusted, statement };
  const silent = lost.map((zone) => zoneLabel(zone).toLowerCase()).join(' and the ');
  return { trusted, statement: `${statement} The ${silent} could not bear witness, because spectacles lie there.` };
}

function witness(
  judged: ReadonlyMap<ZoneId, Partial<Record<MetricId, MetricResult>>>,
  references: readonly ZoneId[],
): Comparison['control'] {
  const items = references.flatMap((zone) =>
    WITNESSES.flatMap((id) => {
      const result = judged.get(zone)?.[id];
      return result ? [{ zone, id, result }] : [];
    }),
  );
  if (items.length === 0)
    return {
      trusted: false,
      statement: 'No reference zone was seen well enough to bear witness, so this comparison has no negative control.',
    };
  const corrected = holm(items.map(({ result }) => result.p));
  const failed = items.filter(({ result }, i) => corrected[i] < LEVEL && Math.abs(result.value) > PLAIN);
  if (failed.length === 0)
    return { trusted: true, statement: `The reference zones (${references.map(zoneLabel).join('; ')}) stayed as they were, within error.` };
  const zones = [...new Set(failed.map(({ zone }) => zoneLabel(zone).toLowerCase()))];
  return {
    trusted: false,
    statement: `The ${zones.join(' and the ')} seem${zones.length === 1 ? 's' : ''} to have changed in brightness or colour. Light, make-up or tan may differ; retake both photographs in the same light.`,
  };
}
