/** A series on one machine: queue and results in one SQLite file, which several threads and processes may have open at once. */

import { type Database, openDatabase, type Row } from '#lib/record/database.ts';
import { ago, now } from '#lib/record/now.ts';
import { canonicalJson } from '#shared/canonical-json.ts';
import { seriesPairSchema } from '#shared/series.ts';
import { packComparison, specOf, unpackComparison } from './pack.ts';
import { pairFindings } from './pair-findings.ts';
import { SERIES_MIGRATIONS } from './sqlite-tables.ts';
import { LEASE_MS, LOST, MOST_ATTEMPTS, type SeriesAsk, type SeriesHead, type SeriesStore, type StoredPair } from './types.ts';

const PAGE = 1000;
const WAIT_AGAIN = `state = 'waiting', worker = NULL, lease_until = NULL, key = NULL, fault = NULL`;
const OPEN = `state IN ('waiting', 'running')`;

/** Throws when the file is no database, or one from a later version of the program. */
export function openSqliteSeries(file: string, { leaseMs = LEASE_MS }: { leaseMs?: number } = {}): SeriesStore {
  const db = openDatabase(file, SERIES_MIGRATIONS);
  return {
    ...asking(db),
    ...working(db, leaseMs),
    known: async (key) => {
      const row = db.get('SELECT packed FROM comparison WHERE key = ?', key);
      return row ? unpackComparison(blob(row.packed)) : null;
    },
    close: async () => db.close(),
  };
}

function asking(db: Database): Pick<SeriesStore, 'head' | 'begin' | 'again' | 'counts' | 'pair' | 'pairs'> {
  return {
    head: async () => {
      const row = db.get('SELECT head FROM head');
      return row ? (JSON.parse(String(row.head)) as SeriesHead) : null;
    },
    begin: async (head, pairs) =>
      db.transaction(() => {
        db.run(
          'INSERT INTO head (one, ask, head) VALUES (1, ?, ?) ON CONFLICT (one) DO UPDATE SET ask = excluded.ask, head = excluded.head',
          canonicalJson(head.ask),
          canonicalJson(head),
        );
        const former = new Map(db.all('SELECT pair, spec FROM pair').map((row) => [String(row.pair), String(row.spec)]));
        const did = { added: 0, kept: 0, changed: 0, gone: 0 };
        for (const [place, pair] of pairs.entries()) {
          const spec = specOf(pair, head.ask);
          const was = former.get(pair.pair);
          former.delete(pair.pair);
          if (was === spec) {
            did.kept++;
            db.run('UPDATE pair SET place = ? WHERE pair = ? AND place <> ?', place, pair.pair, place);
            continue;
          }
          did[was === undefined ? 'added' : 'changed']++;
          db.run(
            `INSERT INTO pair (pair, place, spec, definition) VALUES (?, ?, ?, ?) ON CONFLICT (pair)
             DO UPDATE SET place = excluded.place, spec = excluded.spec, definition = excluded.definition, attempts = 0, inputs = '[]', ${WAIT_AGAIN}`,
            pair.pair,
            place,
            spec,
            canonicalJson(pair),
          );
        }
        for (const pair of former.keys()) did.gone += db.run('DELETE FROM pair WHERE pair = ?', pair);
        return did;
      }),
    again: async (pairs) =>
      db.transaction(() =>
        pairs.reduce((sum, pair) => sum + db.run(`UPDATE pair SET attempts = 0, ${WAIT_AGAIN} WHERE pair = ? AND NOT ${OPEN}`, pair), 0),
      ),
    counts: async () => {
      const of = new Map(db.all('SELECT state, count(*) AS n FROM pair GROUP BY state').map((row) => [String(row.state), Number(row.n)]));
      const count = (state: StoredPair['state']): number => of.get(state) ?? 0;
      return {
        waiting: count('waiting'),
        running: count('running'),
        measured: count('measured'),
        notComparable: count('not-comparable'),
        failed: count('failed'),
      };
    },
    pair: async (id) => {
      const row = db.get('SELECT pair.*, packed FROM pair LEFT JOIN comparison USING (key) WHERE pair = ?', id);
      return row ? storedPair(row) : null;
    },
    pairs: async ({ after = '', limit = PAGE, state } = {}) =>
      db
        .all(
          'SELECT * FROM pair WHERE pair > ? AND (? IS NULL OR state = ?) ORDER BY pair LIMIT ?',
          after,
          state ?? null,
          state ?? null,
          limit,
        )
        .map(storedPair),
  };
}

function working(db: Database, leaseMs: number): Pick<SeriesStore, 'claim' | 'renew' | 'finish' | 'release' | 'giveUp' | 'reclaim'> {
  const later = (ms: number): string => ago(-ms);
  return {
    claim: async (worker) => {
      // Asked many times a second: the write lock is taken only when there is something to take.
      const next = () => db.get(`SELECT pair FROM pair WHERE state = 'waiting' ORDER BY attempts, place LIMIT 1`);
      if (!next()) return null;
      const row = db.transaction(() => {
        const waiting = next();
        return waiting
          ? db.get(
              `UPDATE pair SET state = 'running', worker = ?, lease_until = ?, attempts = attempts + 1 WHERE pair = ? RETURNING *`,
              worker,
              later(leaseMs),
              waiting.pair!,
            )
          : undefined;
      });
      if (!row) return null;
      const { pair } = storedPair(row);
      const ask = JSON.parse(String(db.get('SELECT ask FROM head')!.ask)) as SeriesAsk;
      return { id: pair.pair, series: '', pair, ask, spec: String(row.spec), ticket: worker, attempt: Number(row.attempts) };
    },
    renew: async (worker) => {
      db.run(`UPDATE pair SET lease_until = ? WHERE worker = ? AND state = 'running'`, later(leaseMs), worker);
    },
    finish: async (task, answer) =>
      db.transaction(() => {
        const measured = answer.state !== 'failed';
        if (measured) {
          db.run(
            'INSERT INTO comparison (key, packed) VALUES (?, ?) ON CONFLICT DO NOTHING',
            answer.key,
            packComparison(answer.comparison),
          );
          const { zones, refused } = pairFindings(answer.comparison);
          db.run('INSERT INTO finding (key, zones, refused) VALUES (?, ?, ?) ON CONFLICT DO NOTHING', answer.key, zones, refused);
        }
        return (
          db.run(
            `UPDATE pair SET state = ?, key = ?, inputs = ?, fault = ?, worker = NULL, lease_until = NULL WHERE pair = ? AND spec = ? AND ${OPEN}`,
            answer.state,
            measured ? answer.key : null,
            canonicalJson(answer.inputs),
            measured ? null : canonicalJson(answer.fault),
            task.id,
            task.spec,
          ) > 0
        );
      }),
    release: async (worker) =>
      db.run(`UPDATE pair SET attempts = attempts - 1, ${WAIT_AGAIN} WHERE worker = ? AND state = 'running'`, worker),
    giveUp: async (task, worker, fault) =>
      db.transaction(() => {
        const held = `pair = ? AND spec = ? AND worker = ? AND state = 'running'`;
        const again = db.run(`UPDATE pair SET ${WAIT_AGAIN} WHERE ${held} AND attempts < ?`, task.id, task.spec, worker, MOST_ATTEMPTS);
        return again > 0 || db.run(`UPDATE pair SET ${FAILED} WHERE ${held}`, canonicalJson(fault), task.id, task.spec, worker) > 0;
      }),
    reclaim: async () =>
      db.transaction(() => {
        const run = `state = 'running' AND lease_until < ?`;
        const failed = db.run(`UPDATE pair SET ${FAILED} WHERE ${run} AND attempts >= ?`, canonicalJson(LOST), now(), MOST_ATTEMPTS);
        return failed + db.run(`UPDATE pair SET ${WAIT_AGAIN} WHERE ${run}`, now());
      }),
  };
}

const FAILED = `state = 'failed', fault = ?, worker = NULL, lease_until = NULL`;

const blob = (cell: unknown): Uint8Array => cell as Uint8Array;

/** A row of `pair`, with its comparison's `packed` where that was asked for too. */
export function storedPair(row: Row): StoredPair {
  return {
    pair: seriesPairSchema.parse(JSON.parse(String(row.definition))),
    state: String(row.state) as StoredPair['state'],
    attempts: Number(row.attempts),
    key: row.key === null ? null : String(row.key),
    inputs: JSON.parse(String(row.inputs)) as StoredPair['inputs'],
    fault: row.fault === null ? null : (JSON.parse(String(row.fault)) as StoredPair['fault']),
    comparison: row.packed ? unpackComparison(blob(row.packed)) : null,
  };
}
