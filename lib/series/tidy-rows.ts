/** One row for each zone and metric of a pair: the rows of `results.csv`. */
import { DECIDING_METRICS, METRIC_IDS, METRICS, type ZoneResult } from '#shared/comparison.ts';
import type { TidyRow } from '#shared/series.ts';
import { type AnsweredPair, timesOf } from './answered-pair.ts';

/** In the order of zones and metrics; none when the pair was not measured. */
export function tidyRows(answered: AnsweredPair): TidyRow[] {
  const { pair, comparison } = answered;
  if (!comparison) return [];
  const { kind, subject, group, beforeVisit, afterVisit } = pair;
  const head = { pair: pair.pair, kind, subject, group, beforeVisit, afterVisit, ...timesOf(answered) };
  return comparison.zones.flatMap((zone) =>
    metricsOf(zone).map((row): TidyRow => ({ ...head, ...placeOf(zone), ...row, ebblineVersion: comparison.versions.ebbline })),
  );
}

const placeOf = ({ zone, reference, assessable, seen, trusted, areaMm2 }: ZoneResult) => ({
  zone,
  reference,
  assessable,
  seen,
  trusted,
  areaMm2,
});

type MetricCells = Pick<TidyRow, 'metric' | 'value' | 'unit' | 'u' | 'ciLow' | 'ciHigh' | 'sdc' | 'p' | 'pHolm' | 'finding'>;

/** A zone that could not be assessed keeps a row for each deciding metric, so that what is missing can be counted. */
function metricsOf({ assessable, metrics }: ZoneResult): MetricCells[] {
  if (!assessable)
    return DECIDING_METRICS.map((metric) => {
      const nothing = { value: null, u: null, ciLow: null, ciHigh: null, sdc: null, p: null, pHolm: null };
      return { metric, unit: METRICS[metric].unit, ...nothing, finding: 'not-assessable' };
    });
  return METRIC_IDS.flatMap((metric) => {
    const read = metrics[metric];
    if (!read) return [];
    const { value, u, ci95, sdc, p, pHolm, finding } = read;
    return [{ metric, unit: METRICS[metric].unit, value, u, ciLow: ci95[0], ciHigh: ci95[1], sdc, p, pHolm, finding }];
  });
}
