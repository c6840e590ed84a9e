/** A zone's finding in words: two or three for a table, a whole sentence for a person. */
import { DECIDING_METRICS, type Finding, METRICS, type MetricId, type MetricResult, type ZoneResult } from './comparison.ts';
import { fixed, intervalText, METRIC_DECIMALS, metricText, probabilityText, withUnit } from './numbers.ts';
import { zoneLabel } from './zones.ts';

type DecidingMetric = (typeof DECIDING_METRICS)[number];

/** What a change of a deciding metric is called, negative first. */
const CALLED: Readonly<Record<DecidingMetric, readonly [string, string]>> = {
  volumeMl: ['loss', 'gain'],
  lightnessDelta: ['darker', 'lighter'],
};

/** A shape for each finding, so that none is told by colour alone. */
export const FINDING_SHAPES: Readonly<Record<Finding, string>> = {
  'beyond-error': '\u25c6', // diamond, filled
  'within-error': '\u25cb', // circle, open
  'not-assessable': '\u2013', // dash
};

/** The part of a zone's result that decides its words. */
export type Judged = Pick<ZoneResult, 'zone' | 'assessable' | 'whyNot' | 'finding' | 'metrics'>;

const beyond = (zone: Judged): DecidingMetric[] => DECIDING_METRICS.filter((id) => zone.metrics[id]?.finding === 'beyond-error');

/** The deciding metric with the strongest evidence, or null when the zone has none. */
export function leadingMetric(zone: Judged): { id: MetricId; result: MetricResult } | null {
  const measured = DECIDING_METRICS.flatMap((id) => {
    const result = zone.metrics[id];
    return result ? [{ id, result }] : [];
  });
  return measured.sort((a, b) => a.result.p - b.result.p || evidence(b.result) - evidence(a.result))[0] ?? null;
}

/** How many standard uncertainties from no change. */
export const evidence = ({ value, u }: Pick<MetricResult, 'value' | 'u'>): number =>
  u > 0 ? Math.abs(value) / u : value === 0 ? 0 : Infinity;

/** "loss beyond error", "loss and darker, beyond error", "within error", "not assessable". */
export function findingPhrase(zone: Judged): string {
  if (!zone.assessable || zone.finding === 'not-assessable') return 'not assessable';
  const called = beyond(zone).map((id) => nameOf(id, zone.metrics[id]!.value));
  if (zone.finding === 'within-error' || called.length === 0) return zone.finding === 'within-error' ? 'within error' : 'beyond error';
  return called.length === 1 ? `${called[0]} beyond error` : `${called.join(' and ')}, beyond error`;
}

/** The whole finding of one zone, for a person: what was measured, against what, and what that means. */
export function findingSentence(zone: Judged): string {
  const label = zoneLabel(zone.zone);
  if (!zone.assessable || zone.finding === 'not-assessable')
    return `${label}: not assessable. ${zone.whyNot ?? 'It was not seen well enough.'}`;
  if (zone.finding === 'beyond-error') {
    const parts = beyond(zone).map((id) => beyondSentence(id, zone.metrics[id]!));
    if (parts.length > 0) return `${label}: ${parts.join(' Also, ')}`;
  }
  const leading = leadingMetric(zone);
  if (!leading) return `${label}: not assessable. Nothing that decides could be measured.`;
  const { id, result } = leading;
  const limit = withUnit(fixed(result.sdc, METRIC_DECIMALS[id]), METRICS[id].unit);
  return (
    `${label}: no change beyond error. Measured ${metricText(id, result.value)} (95 % interval ${intervalText(id, result.ci95)}); ` +
    `a change of less than ${limit} cannot be told from error here.`
  );
}

function beyondSentence(id: DecidingMetric, result: MetricResult): string {
  const decimals = METRIC_DECIMALS[id];
  const amount = withUnit(fixed(Math.abs(result.value), decimals), METRICS[id].unit);
  const name = nameOf(id, result.value);
  const what = id === 'volumeMl' ? `a ${name} of ${amount}` : `${name} by ${amount}`;
  return (
    `${what} (95 % interval of the change ${intervalText(id, result.ci95)}). That is more than the smallest detectable change of ` +
    `${withUnit(fixed(result.sdc, decimals), METRICS[id].unit)}, and p is ${probabilityText(result.pHolm)} after correction over all zones.`
  );
}

const nameOf = (id: DecidingMetric, value: number): string => CALLED[id][value < 0 ? 0 : 1];
