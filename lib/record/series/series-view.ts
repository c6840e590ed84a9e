/**
 * A look at the answers of a series in its SQLite file, a page of pairs at a time, also while they are being measured. Filters are
 * answered by the tables; comparisons are unpacked for the rows of one page only.
 */
import { existsSync } from 'node:fs';
import { openDatabase } from '#lib/record/database.ts';
import type { PairFilter, PairTally, SeriesView } from '#lib/record/series-types.ts';
import { findingMark } from './pair-findings.ts';
import { storedPair } from './sqlite-series.ts';
import { SERIES_MIGRATIONS } from './sqlite-tables.ts';
import type { SeriesHead } from './types.ts';

const MOST_REASONS = 60;

/** Null when there is no such file. */
export function openSeriesView(file: string): SeriesView | null {
  if (!existsSync(file)) return null;
  const db = openDatabase(file, SERIES_MIGRATIONS);
  const head = db.get('SELECT head FROM head');
  return {
    head: head ? (JSON.parse(String(head.head)) as SeriesHead) : null,
    counts: () => {
      const of = new Map(db.all('SELECT state, count(*) AS n FROM pair GROUP BY state').map(({ state, n }) => [String(state), Number(n)]));
      const count = (state: string): number => of.get(state) ?? 0;
      return {
        waiting: count('waiting'),
        running: count('running'),
        measured: count('measured'),
        notComparable: count('not-comparable'),
        failed: count('failed'),
      };
    },
    list: (filter, from, limit) => {
      const { where, values } = condition(filter);
      const total = Number(db.get(`SELECT count(*) AS n FROM pair LEFT JOIN finding USING (key) WHERE ${where}`, ...values)!.n);
      const pairs = db
        .all(
          `SELECT pair.*, packed FROM pair LEFT JOIN finding USING (key) LEFT JOIN comparison USING (key) WHERE pair IN
           (SELECT pair FROM pair LEFT JOIN finding USING (key) WHERE ${where} ORDER BY pair LIMIT ? OFFSET ?) ORDER BY pair`,
          ...values,
          limit,
          from,
        )
        .map(storedPair);
      return { total, pairs };
    },
    pair: (id) => {
      const row = db.get('SELECT pair.*, packed FROM pair LEFT JOIN comparison USING (key) WHERE pair = ?', id);
      return row ? storedPair(row) : null;
    },
    tally: () => [
      ...db
        .all(
          `SELECT json_extract(fault, '$.code') AS code, json_extract(fault, '$.message') AS message, count(*) AS n, min(pair) AS example
           FROM pair WHERE state = 'failed' GROUP BY 1 ORDER BY n DESC, code LIMIT ?`,
          MOST_REASONS,
        )
        .map((row): PairTally => ({ state: 'failed', ...tallyOf(row), message: String(row.message) })),
      ...db
        .all(
          `SELECT coalesce(refused, '') AS code, count(*) AS n, min(pair) AS example
           FROM pair LEFT JOIN finding USING (key) WHERE state = 'not-comparable' GROUP BY 1 ORDER BY n DESC, code LIMIT ?`,
          MOST_REASONS,
        )
        .map((row): PairTally => ({ state: 'not-comparable', ...tallyOf(row), message: null })),
    ],
    close: () => db.close(),
  };
}

const tallyOf = (row: Readonly<Record<string, unknown>>) => ({
  code: String(row.code),
  pairs: Number(row.n),
  example: String(row.example),
});

/** Ids begin with the subject, so those of one subject stand together in the primary key. */
function condition({ subject, state, zone, finding }: PairFilter): { where: string; values: string[] } {
  const parts: [string, ...string[]][] = [];
  if (subject) parts.push(['pair >= ? AND pair < ?', subject, `${subject}\u{10ffff}`]);
  if (state) parts.push(['state = ?', state]);
  if (finding) parts.push(['instr(zones, ?) > 0', findingMark(zone, finding)]);
  else if (zone) parts.push(['instr(zones, ?) > 0', `,${zone}:`]);
  return { where: parts.length > 0 ? parts.map(([sql]) => sql).join(' AND ') : 'TRUE', values: parts.flatMap(([, ...values]) => values) };
}
