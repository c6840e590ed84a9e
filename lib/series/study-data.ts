/**
 * The rows of a series gathered for statistics: for each zone and metric a column of values, each with the pair it belongs to.
 *
 * Model   values of ratios are kept as natural logarithms, so that halving and doubling lie equally far from no change.
 */
import type { Finding, MetricId } from '#shared/comparison.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import type { PairRow, RatingRow } from '#shared/series.ts';
import type { ZoneId } from '#shared/zones.ts';
import type { ResultCells } from './study-tables.ts';

export type StudyValue = Readonly<{ pair: number; value: number; u: number; finding: Finding }>;
export type StudyColumn = Readonly<{ zone: ZoneId; metric: MetricId; scale: 'linear' | 'log'; values: readonly StudyValue[] }>;

export type StudyData = Readonly<{
  pairs: readonly PairRow[];
  ratings: readonly RatingRow[];
  /** Place of a pair in `pairs`. */
  placeOf: ReadonlyMap<string, number>;
  column: (zone: ZoneId, metric: MetricId) => StudyColumn;
  /** Whether the zone was a reference in most of its rows. */
  isReference: (zone: ZoneId) => boolean;
  /** Places of pairs in which the zone could be assessed. */
  assessed: (zone: ZoneId) => ReadonlySet<number>;
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
  const columns = new Map<string, StudyValue[]>();
  const seen = new Map<string, Set<number>>();
  const references = new Map<ZoneId, { yes: number; no: number }>();
  const assessed = new Map<ZoneId, Set<number>>();
  const keyOf = (zone: ZoneId, metric: MetricId): string => `${zone} ${metric}`;

  const add: StudyGatherer['add'] = ({ pair, zone, metric, reference, assessable, value, u, finding }, row) => {
    const place = placeOf.get(pair);
    if (place === undefined) return refused('row', `results.csv, row ${row}: the pair "${pair}" is not in pairs.csv.`);
    const key = keyOf(zone, metric);
    const had = seen.get(key) ?? new Set();
    if (had.has(place)) return refused('row', `results.csv, row ${row}: ${metric} of ${zone} in the pair "${pair}" stands there twice.`);
    seen.set(key, had.add(place));
    const counts = references.get(zone) ?? { yes: 0, no: 0 };
    counts[reference ? 'yes' : 'no']++;
    references.set(zone, counts);
    if (assessable) assessed.set(zone, (assessed.get(zone) ?? new Set()).add(place));
    if (!assessable || value === null) return found(null);
    if (isRatio(metric) && !(value > 0)) return refused('row', `results.csv, row ${row}: a ratio must be above 0, got ${value}.`);
    const column = columns.get(key) ?? [];
    // First-order: u of a logarithm is the relative u.
    column.push(
      isRatio(metric) ? { pair: place, value: Math.log(value), u: (u ?? 0) / value, finding } : { pair: place, value, u: u ?? 0, finding },
    );
    columns.set(key, column);
    return found(null);
  };

  const done = (): StudyData => {
    // The order of rows in the file must not show in sums.
    for (const column of columns.values()) column.sort((a, b) => a.pair - b.pair);
    const none: ReadonlySet<number> = new Set();
    return {
      pairs,
      ratings,
      placeOf,
      column: (zone, metric) => ({
        zone,
        metric,
        scale: isRatio(metric) ? 'log' : 'linear',
        values: columns.get(keyOf(zone, metric)) ?? [],
      }),
      isReference: (zone) => (references.get(zone)?.yes ?? 0) > (references.get(zone)?.no ?? 0),
      assessed: (zone) => assessed.get(zone) ?? none,
    };
  };
  return { add, done };
}
