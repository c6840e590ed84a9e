/**
 * A look at the answers of a series in its SQLite file, a page of pairs at a time, also while they are being measured. Filters are
 * answered by the tables; comparisons are unpacked for the rows of one page only.
 */
import { existsSync } from 'node:fs';
import { openDatabase } from '#lib/record/database.ts';
import type { PairFilter, PairTally, SeriesView } from '#lib/record/series-types.ts';
import { findingCondition } from './pair-findings.ts';
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
    list: (filter, skipped, limit) => {
      const { from: source, where, values } = condition(filter);
      const total = Number(db.get(`SELECT count(*) AS n FROM ${source} WHERE ${where}`, ...values)!.n);
      const pairs = db
        .all(
          `SELECT pair.*, packed FROM pair LEFT JOIN comparison USING (key)
           WHERE pair IN (SELECT pair FROM ${source} WHERE ${where} ORDER BY pair LIMIT ? OFFSET ?) ORDER BY pair`,
          ...values,
          limit,
          skipped,
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

/** Ids begin with the subject, so those of one subject stand together in the primary key. Findings are joined only when asked for. */
function condition({ subject, state, zone, finding }: PairFilter): { from: string; where: string; values: (string | number)[] } {
  const parts: (readonly [string, ...(string | number)[]])[] = [];
  if (subject) parts.push(['pair >= ? AND pair < ?', subject, `${subject}\u{10ffff}`]);
  if (state) parts.push(['state = ?', state]);
  if (finding || zone) parts.push(findingCondition(zone, finding));
  return {
    from: finding || zone ? 'pair JOIN finding USING (key)' : 'pair',
    where: parts.length > 0 ? parts.map(([sql]) => sql).join(' AND ') : 'TRUE',
    values: parts.flatMap(([, ...values]) => values),
  };
}
