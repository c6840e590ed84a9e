/**
 * The rows of a series gathered for statistics: for each zone and metric a column with a place for every pair.
 *
 * Model   values of ratios are kept as natural logarithms, so that halving and doubling lie equally far from no change. Columns are dense
 *         arrays, 9 bytes a pair, so that 10^5 pairs of 28 zones and 13 metrics take a third of a gigabyte, and the order of rows leaves no trace.
 */
import { FINDINGS, type Finding, type MetricId } from '#shared/comparison.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import type { PairRow, RatingRow } from '#shared/series.ts';
import type { ZoneId } from '#shared/zones.ts';
import type { ResultCells } from './study-tables.ts';

export type StudyValue = Readonly<{ pair: number; value: number; finding: Finding }>;
export type StudyColumn = Readonly<{ zone: ZoneId; metric: MetricId; scale: 'linear' | 'log'; values: readonly StudyValue[] }>;

export type StudyData = Readonly<{
  pairs: readonly PairRow[];
  ratings: readonly RatingRow[];
  /** Place of a pair in `pairs`. */
  placeOf: ReadonlyMap<string, number>;
  column: (zone: ZoneId, metric: MetricId) => StudyColumn;
  /** Whether the zone was a reference in most of its rows. */
  isReference: (zone: ZoneId) => boolean;
  /** Whether the zone could be assessed in the pair at that place. */
  wasAssessed: (zone: ZoneId, place: number) => boolean;
}>;

export const isRatio = (metric: MetricId): boolean => metric.endsWith('Ratio');
/** A magnitude says how far, not which way: it has no mean change and no bias. */
export const isMagnitude = (metric: MetricId): boolean => metric === 'colourDelta';

export type StudyGatherer = Readonly<{
  /** Refuses a row that does not fit the pairs. `row` counts from 1. */
  add: (cells: ResultCells, row: number) => Outcome<null, 'row'>;
  done: () => StudyData;
}>;

export function gatherStudy(pairs: readonly PairRow[], ratings: readonly RatingRow[]): StudyGatherer {
  const placeOf = new Map(pairs.map(({ pair }, place) => [pair, place]));
  const n = pairs.length;
  const columns = new Map<string, Column>();
  const references = new Map<ZoneId, { yes: number; no: number }>();
  const assessed = new Map<ZoneId, Uint8Array>();
  const keyOf = (zone: ZoneId, metric: MetricId): string => `${zone} ${metric}`;

  const add: StudyGatherer['add'] = ({ pair, zone, metric, reference, assessable, value, finding }, row) => {
    const place = placeOf.get(pair);
    if (place === undefined) return refused('row', `results.csv, row ${row}: the pair "${pair}" is not in pairs.csv.`);
    const key = keyOf(zone, metric);
    const column = columns.get(key) ?? { values: new Float64Array(n).fill(Number.NaN), findings: new Uint8Array(n) };
    columns.set(key, column);
    if (column.findings[place] > 0)
      return refused('row', `results.csv, row ${row}: ${metric} of ${zone} in the pair "${pair}" stands there twice.`);
    column.findings[place] = 1 + FINDINGS.indexOf(finding);
    const counts = references.get(zone) ?? { yes: 0, no: 0 };
    counts[reference ? 'yes' : 'no']++;
    references.set(zone, counts);
    if (!assessable) return found(null);
    const seen = assessed.get(zone) ?? new Uint8Array(n);
    seen[place] = 1;
    assessed.set(zone, seen);
    if (value === null) return found(null);
    if (isRatio(metric) && !(value > 0)) return refused('row', `results.csv, row ${row}: a ratio must be above 0, got ${value}.`);
    column.values[place] = isRatio(metric) ? Math.log(value) : value;
    return found(null);
  };

  const done = (): StudyData => ({
    pairs,
    ratings,
    placeOf,
    column: (zone, metric) => ({
      zone,
      metric,
      scale: isRatio(metric) ? 'log' : 'linear',
      values: valuesOf(columns.get(keyOf(zone, metric))),
    }),
    isReference: (zone) => (references.get(zone)?.yes ?? 0) > (references.get(zone)?.no ?? 0),
    wasAssessed: (zone, place) => assessed.get(zone)?.[place] === 1,
  });
  return { add, done };
}

/** NaN where there is no value; 0 where there was no row, otherwise 1 + the place in FINDINGS. */
type Column = Readonly<{ values: Float64Array; findings: Uint8Array }>;

function valuesOf(column: Column | undefined): StudyValue[] {
  const values: StudyValue[] = [];
  column?.values.forEach((value, pair) => {
    if (!Number.isNaN(value)) values.push({ pair, value, finding: FINDINGS[column.findings[pair] - 1] });
  });
  return values;
}
