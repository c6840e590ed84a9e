/** The figures that the validation keeps of one comparison. */
import type { CompareFault } from '#lib/compare/sight-all.ts';
import type { ComparedPair } from '#lib/compare/types.ts';
import type { CaseFacts, CaseResult, MeasuredMetric, MeasuredZone } from '#lib/report/validation-result.ts';
import type { MetricResult, ZoneResult } from '#shared/comparison.ts';
import type { Outcome } from '#shared/outcome.ts';

const Z95 = 1.959963984540054;

export function resultOf(facts: CaseFacts, outcome: Outcome<ComparedPair, CompareFault>): CaseResult {
  if (!outcome.ok)
    return {
      ...facts,
      comparable: false,
      refusedBy: [outcome.why],
      controlTrusted: false,
      measuredPupilsMm: null,
      scaleRelU: null,
      zones: [],
      pooled: null,
    };
  const { gate, control, zones, pooled, scale, inputs } = outcome.value.comparison;
  return {
    ...facts,
    comparable: gate.comparable,
    refusedBy: gate.checks.filter(({ verdict }) => verdict === 'refuse').map(({ id }) => id),
    controlTrusted: control.trusted,
    measuredPupilsMm: scale && inputs[0].interpupillaryPx * scale.mmPerPx,
    scaleRelU: scale?.relU ?? null,
    zones: zones.map(zoneOf),
    pooled: pooled && { value: pooled.volumeMl.value, u: pooled.volumeMl.u, p: pooled.p, beyond: pooled.finding === 'beyond-error' },
  };
}

function zoneOf({ zone, reference, finding, metrics }: ZoneResult): MeasuredZone {
  return { zone, reference, finding, metrics: Object.fromEntries(Object.entries(metrics).map(([id, metric]) => [id, metricOf(metric)])) };
}

const metricOf = ({ value, u, ci95, sdc, p, finding }: MetricResult): MeasuredMetric => ({
  value,
  u,
  low: ci95[0],
  high: ci95[1],
  uNull: sdc / Z95,
  p,
  finding,
});
