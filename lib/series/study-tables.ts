/**
 * Reads the tables of a series back: `pairs.csv`, `ratings.csv` and, row by row since they may be millions, `results.csv`.
 *
 * Form    RFC 4180 with a head of the fields of shared/series.ts in any order; an empty cell is no value; lists are joined by `;`.
 */
import { parse } from 'csv-parse/sync';
import type { z } from 'zod';
import { FINDINGS, METRIC_IDS, type MetricId } from '#shared/comparison.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { PAIR_KINDS, type PairRow, pairRowSchema, type RatingRow, ratingRowSchema, type TidyRow, tidyRowSchema } from '#shared/series.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';

export type TableFault = 'not-a-table' | 'columns' | 'row';

const LISTS: readonly string[] = ['reasons', 'views', 'cautions', 'beforeSha256', 'afterSha256'];
const NUMBERS: readonly string[] = ['daysApart', 'daysSinceTreatment', 'scaleRelU', 'pooledVolumeMl', 'pooledP', 'grade'];

function fieldOf(name: string, cell: string): unknown {
  if (LISTS.includes(name)) return cell === '' ? [] : cell.split(';');
  if (cell === '') return null;
  if (NUMBERS.includes(name)) return Number(cell);
  if (name === 'controlTrusted') return cell === 'true' ? true : cell === 'false' ? false : cell;
  return cell;
}

function tableOf<S extends z.ZodObject>(text: string, file: string, schema: S): Outcome<z.infer<S>[], TableFault> {
  let records: string[][];
  try {
    records = parse(text, { bom: true, skipEmptyLines: true });
  } catch (error) {
    return refused('not-a-table', `${file} is no CSV that can be read: ${(error as Error).message}.`);
  }
  const head = records[0] ?? [];
  const missing = Object.keys(schema.shape).find((name) => !head.includes(name));
  if (missing !== undefined) return refused('columns', `${file} has no column "${missing}". Take the table as the series wrote it.`);
  const rows: z.infer<S>[] = [];
  for (const [i, cells] of records.slice(1).entries()) {
    const row = schema.safeParse(Object.fromEntries(head.map((name, k) => [name, fieldOf(name, cells[k] ?? '')])));
    if (!row.success) {
      const { path, message } = row.error.issues[0]!;
      return refused('row', `${file}, row ${i + 1}, column "${path.join('.')}": ${message}.`);
    }
    rows.push(row.data);
  }
  return found(rows);
}

/** Every pair must stand in it once. */
export function readPairs(text: string): Outcome<PairRow[], TableFault> {
  const rows = tableOf(text, 'pairs.csv', pairRowSchema);
  if (!rows.ok) return rows;
  const seen = new Set<string>();
  for (const { pair } of rows.value) {
    if (seen.has(pair)) return refused('row', `pairs.csv has the pair "${pair}" twice, so that it would be counted twice.`);
    seen.add(pair);
  }
  return rows;
}

export const readRatings = (text: string): Outcome<RatingRow[], TableFault> => tableOf(text, 'ratings.csv', ratingRowSchema);

/** What statistics need of a row of `results.csv`. */
export type ResultCells = Pick<TidyRow, 'pair' | 'zone' | 'metric' | 'reference' | 'assessable' | 'value' | 'finding'>;
export type ResultReader = (cells: readonly string[], row: number) => Outcome<ResultCells, TableFault>;

/** A reader of rows with this head. Written by hand since a series of 10^5 pairs has 3 x 10^7 rows. */
export function resultReader(head: readonly string[]): Outcome<ResultReader, TableFault> {
  const missing = Object.keys(tidyRowSchema.shape).find((name) => !head.includes(name));
  if (missing !== undefined) return refused('columns', `results.csv has no column "${missing}". Take the table as the series wrote it.`);
  const at = (name: keyof TidyRow): number => head.indexOf(name);
  const [pair, kind, zone, metric, reference, assessable, value, u, finding] = (
    ['pair', 'kind', 'zone', 'metric', 'reference', 'assessable', 'value', 'u', 'finding'] as const
  ).map(at);
  const [zones, metrics, findings, kinds] = [ZONE_IDS, METRIC_IDS, FINDINGS, PAIR_KINDS].map((names) => new Set<string>(names));
  return found((cells, row) => {
    const bad = (column: string, cell: string | undefined): ReturnType<typeof refused<TableFault>> =>
      refused('row', `results.csv, row ${row}, column "${column}": "${cell ?? ''}" is not one of its values.`);
    if (!zones.has(cells[zone])) return bad('zone', cells[zone]);
    if (!metrics.has(cells[metric])) return bad('metric', cells[metric]);
    if (!findings.has(cells[finding])) return bad('finding', cells[finding]);
    if (!kinds.has(cells[kind])) return bad('kind', cells[kind]);
    const numbers = [cells[value], cells[u]].map((cell) => (cell === '' ? null : Number(cell)));
    if (numbers[0] !== null && !Number.isFinite(numbers[0])) return bad('value', cells[value]);
    if (numbers[1] !== null && !(numbers[1]! >= 0 && Number.isFinite(numbers[1]))) return bad('u', cells[u]);
    for (const [name, cell] of [['reference', cells[reference]], ['assessable', cells[assessable]]] as const) // biome-ignore format: a line
      if (cell !== 'true' && cell !== 'false') return bad(name, cell);
    return found({
      pair: cells[pair],
      zone: cells[zone] as ZoneId,
      metric: cells[metric] as MetricId,
      reference: cells[reference] === 'true',
      assessable: cells[assessable] === 'true',
      value: numbers[0],
      u: numbers[1],
      finding: cells[finding] as TidyRow['finding'],
    });
  });
}
