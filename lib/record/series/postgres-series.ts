/**
 * A series on many machines: pairs and comparisons in PostgreSQL, deliveries by pg-boss. An answer and the end of its delivery are
 * one transaction, so a worker that dies at any moment leaves either both or neither.
 */
import type { PoolClient } from 'pg';
import type { PgBoss } from 'pg-boss';
import { canonicalJson } from '#shared/canonical-json.ts';
import { type SeriesPair, seriesPairSchema } from '#shared/series.ts';
import { packComparison, specOf, unpackComparison } from './pack.ts';
import { DEAD_PAIRS, type Delivery, openDelivery, PAIRS } from './postgres-delivery.ts';
import { linkPostgres, migratePostgres, type PostgresLink } from './postgres-link.ts';
import { SCHEMA } from './postgres-tables.ts';
import { LOST, MOST_ATTEMPTS, type SeriesAsk, type SeriesHead, type SeriesStore, type StoredPair } from './types.ts';

const PAGE = 1000;
const CHUNK = 1000;
const WAIT_AGAIN = `state = 'waiting', worker = NULL, job = NULL, key = NULL, fault = NULL`;
const OPEN = `state IN ('waiting', 'running')`;

export type PostgresOptions = Readonly<{
  /** The series that is asked about; a worker takes pairs of any. */
  series?: string;
  /** False in a thread: the process that started it looks for the dead and makes the tables. */
  supervise?: boolean;
  lookSeconds?: number;
  connections?: number;
  patienceMs?: number;
}>;

type Row = Record<string, unknown>;
type Under = Readonly<{ link: PostgresLink; boss: PgBoss; series: string }>;

export async function openPostgresSeries(url: string, options: PostgresOptions = {}): Promise<SeriesStore> {
  const { series = '', supervise = true } = options;
  const link = linkPostgres(url, options);
  let boss: PgBoss;
  try {
    // An address that is wrong is told at once; later on a database that is away is waited for.
    if (supervise) await link.executeSql('SELECT 1');
    const open = () => openDelivery(link, { supervise, lookSeconds: options.lookSeconds });
    boss = supervise ? await migratePostgres(link, open) : await open();
  } catch (error) {
    await link.end();
    throw error;
  }
  const under = { link, boss, series };
  return {
    ...asking(under),
    ...answers(under),
    ...working(under),
    close: async () => {
      await boss.stop({ graceful: false, close: false }).catch(() => undefined);
      await link.end();
    },
  };
}

/** Rows of pairs, and their deliveries, in one transaction. */
async function deliver(client: PoolClient, boss: PgBoss, deliveries: readonly Delivery[]): Promise<void> {
  await boss.insert(
    PAIRS,
    deliveries.map((data) => ({ data })),
    { db: inside(client) },
  );
}

const inside = (client: PoolClient) => ({ executeSql: (sql: string, values?: unknown[]) => client.query(sql, values) });

function asking({ link, boss, series }: Under): Pick<SeriesStore, 'head' | 'begin' | 'again'> {
  const put = async (pairs: readonly SeriesPair[], ask: SeriesAsk): Promise<void> => {
    for (let at = 0; at < pairs.length; at += CHUNK) {
      const some = pairs
        .slice(at, at + CHUNK)
        .map((pair) => ({ series, pair: pair.pair, spec: specOf(pair, ask), definition: canonicalJson(pair) }));
      await link.transaction(async (client) => {
        const { rows } = await client.query(
          `INSERT INTO ${SCHEMA}.pair AS p (series, pair, spec, definition)
           SELECT $1, * FROM unnest($2::text[], $3::text[], $4::text[])
           ON CONFLICT (series, pair) DO UPDATE SET spec = excluded.spec, definition = excluded.definition, attempts = 0, inputs = '[]', ${WAIT_AGAIN}
           WHERE p.spec <> excluded.spec RETURNING pair, spec`,
          [series, some.map(({ pair }) => pair), some.map(({ spec }) => spec), some.map(({ definition }) => definition)],
        );
        const taken = new Set(rows.map((row) => row.pair as string));
        await deliver(
          client,
          boss,
          some.filter(({ pair }) => taken.has(pair)).map(({ pair, spec }) => ({ series, pair, spec })),
        );
      });
    }
  };
  return {
    head: async () => {
      const [row] = await link.rows(`SELECT head FROM ${SCHEMA}.series WHERE name = $1`, [series]);
      return row ? (JSON.parse(String(row.head)) as SeriesHead) : null;
    },
    begin: async (head, pairs) => {
      if (series === '') throw new RangeError('a series in PostgreSQL needs a name to begin');
      await link.rows(
        `INSERT INTO ${SCHEMA}.series (name, ask, head) VALUES ($1, $2, $3) ON CONFLICT (name) DO UPDATE SET ask = excluded.ask, head = excluded.head`,
        [series, canonicalJson(head.ask), canonicalJson(head)],
      );
      const known = await link.rows(`SELECT pair, spec FROM ${SCHEMA}.pair WHERE series = $1`, [series]);
      const former = new Map(known.map((row) => [String(row.pair), String(row.spec)]));
      const did = { added: 0, kept: 0, changed: 0, gone: 0 };
      const fresh: SeriesPair[] = [];
      for (const pair of pairs) {
        const was = former.get(pair.pair);
        former.delete(pair.pair);
        did[was === undefined ? 'added' : was === specOf(pair, head.ask) ? 'kept' : 'changed']++;
        if (was !== specOf(pair, head.ask)) fresh.push(pair);
      }
      await put(fresh, head.ask);
      did.gone = former.size;
      if (former.size > 0) await link.rows(`DELETE FROM ${SCHEMA}.pair WHERE series = $1 AND pair = ANY($2)`, [series, [...former.keys()]]);
      return did;
    },
    again: async (pairs) =>
      link.transaction(async (client) => {
        const { rows } = await client.query(
          `UPDATE ${SCHEMA}.pair SET attempts = 0, ${WAIT_AGAIN} WHERE series = $1 AND pair = ANY($2) AND NOT ${OPEN} RETURNING pair, spec`,
          [series, [...pairs]],
        );
        await deliver(
          client,
          boss,
          rows.map((row): Delivery => ({ series, pair: row.pair as string, spec: row.spec as string })),
        );
        return rows.length;
      }),
  };
}

function answers({ link, series }: Under): Pick<SeriesStore, 'known' | 'counts' | 'pair' | 'pairs'> {
  return {
    known: async (key) => {
      const [row] = await link.rows(`SELECT packed FROM ${SCHEMA}.comparison WHERE key = $1`, [key]);
      return row ? unpackComparison(row.packed as Uint8Array) : null;
    },
    counts: async () => {
      const rows = await link.rows(`SELECT state, count(*)::int AS n FROM ${SCHEMA}.pair WHERE $1 IN ('', series) GROUP BY state`, [
        series,
      ]);
      const count = (state: StoredPair['state']): number => Number(rows.find((row) => row.state === state)?.n ?? 0);
      return {
        waiting: count('waiting'),
        running: count('running'),
        measured: count('measured'),
        notComparable: count('not-comparable'),
        failed: count('failed'),
      };
    },
    pair: async (id) => {
      const [row] = await link.rows(
        `SELECT p.*, c.packed FROM ${SCHEMA}.pair p LEFT JOIN ${SCHEMA}.comparison c USING (key) WHERE series = $1 AND pair = $2`,
        [series, id],
      );
      return row ? storedPair(row) : null;
    },
    pairs: async ({ after = '', limit = PAGE, state } = {}) =>
      (
        await link.rows(
          `SELECT * FROM ${SCHEMA}.pair WHERE series = $1 AND pair > $2 AND ($3::text IS NULL OR state = $3) ORDER BY pair LIMIT $4`,
          [series, after, state ?? null, limit],
        )
      ).map(storedPair),
  };
}

function working({ link, boss }: Under): Pick<SeriesStore, 'claim' | 'renew' | 'finish' | 'release' | 'giveUp' | 'reclaim'> {
  const held = async (worker: string): Promise<string[]> =>
    (await link.rows(`SELECT job FROM ${SCHEMA}.pair WHERE worker = $1 AND state = 'running'`, [worker])).map((row) => String(row.job));
  return {
    claim: (worker) =>
      link.patiently(async () => {
        for (;;) {
          const [job] = await boss.fetch<Delivery>(PAIRS);
          if (!job) return null;
          const { series, pair, spec } = job.data;
          const [row] = await link.rows(
            `UPDATE ${SCHEMA}.pair p SET state = 'running', worker = $1, job = $2, attempts = attempts + 1 FROM ${SCHEMA}.series s
             WHERE s.name = p.series AND p.series = $3 AND p.pair = $4 AND p.spec = $5 AND p.${OPEN} RETURNING p.*, s.ask`,
            [worker, job.id, series, pair, spec],
          );
          if (row)
            return {
              id: pair,
              series,
              pair: storedPair(row).pair,
              ask: JSON.parse(String(row.ask)) as SeriesAsk,
              spec,
              ticket: job.id,
              attempt: Number(row.attempts),
            };
          // Answered meanwhile, or no longer asked for so.
          await boss.complete(PAIRS, job.id);
        }
      }),
    renew: async (worker) => {
      const jobs = await held(worker);
      if (jobs.length > 0) await link.patiently(() => boss.touch(PAIRS, jobs));
    },
    finish: (task, answer) =>
      link.transaction(async (client) => {
        const measured = answer.state !== 'failed';
        if (measured)
          await client.query(`INSERT INTO ${SCHEMA}.comparison (key, packed) VALUES ($1, $2) ON CONFLICT DO NOTHING`, [
            answer.key,
            packComparison(answer.comparison),
          ]);
        const { rowCount } = await client.query(
          `UPDATE ${SCHEMA}.pair SET state = $1, key = $2, inputs = $3, fault = $4, worker = NULL, job = NULL
           WHERE series = $5 AND pair = $6 AND spec = $7 AND ${OPEN}`,
          [
            answer.state,
            measured ? answer.key : null,
            canonicalJson(answer.inputs),
            measured ? null : canonicalJson(answer.fault),
            task.series,
            task.id,
            task.spec,
          ],
        );
        await boss.complete(PAIRS, task.ticket, null, { db: inside(client) });
        return rowCount === 1;
      }),
    release: (worker) =>
      link.transaction(async (client) => {
        const { rows } = await client.query(
          `SELECT series, pair, job FROM ${SCHEMA}.pair WHERE worker = $1 AND state = 'running' FOR UPDATE`,
          [worker],
        );
        await client.query(`UPDATE ${SCHEMA}.pair SET attempts = attempts - 1, ${WAIT_AGAIN} WHERE worker = $1 AND state = 'running'`, [
          worker,
        ]);
        const jobs = rows.map((row) => row.job as string);
        if (jobs.length > 0) {
          // Taken out and put back: the only way to return a delivery without counting it as a failure.
          await boss.cancel(PAIRS, jobs, { db: inside(client) });
          await boss.resume(PAIRS, jobs, { db: inside(client) });
        }
        return jobs.length;
      }),
    giveUp: (task, worker, fault) =>
      link.transaction(async (client) => {
        const held = `series = $1 AND pair = $2 AND spec = $3 AND worker = $4 AND state = 'running'`;
        const which = [task.series, task.id, task.spec, worker];
        const again = await client.query(`UPDATE ${SCHEMA}.pair SET ${WAIT_AGAIN} WHERE ${held} AND attempts < $5`, [
          ...which,
          MOST_ATTEMPTS,
        ]);
        const failed = again.rowCount
          ? again
          : await client.query(`UPDATE ${SCHEMA}.pair SET ${FAILED('$5')} WHERE ${held}`, [...which, canonicalJson(fault)]);
        if (!failed.rowCount) return false;
        await boss.fail(PAIRS, task.ticket, { code: fault.code }, { db: inside(client) });
        return true;
      }),
    reclaim: async () => {
      let lost = 0;
      for (;;) {
        const letters = await link.patiently(() => boss.fetch<Delivery>(DEAD_PAIRS, { batchSize: 100 }));
        if (letters.length === 0) return lost;
        lost += await link.transaction(async (client) => {
          let count = 0;
          for (const { data } of letters) {
            const { rowCount } = await client.query(
              `UPDATE ${SCHEMA}.pair SET ${FAILED('$4')} WHERE series = $1 AND pair = $2 AND spec = $3 AND ${OPEN}`,
              [data.series, data.pair, data.spec, canonicalJson(LOST)],
            );
            count += rowCount ?? 0;
          }
          await boss.complete(
            DEAD_PAIRS,
            letters.map(({ id }) => id),
            null,
            { db: inside(client) },
          );
          return count;
        });
      }
    },
  };
}

const FAILED = (fault: string): string => `state = 'failed', fault = ${fault}, worker = NULL, job = NULL, key = NULL`;

function storedPair(row: Row): StoredPair {
  return {
    pair: seriesPairSchema.parse(JSON.parse(String(row.definition))),
    state: String(row.state) as StoredPair['state'],
    attempts: Number(row.attempts),
    key: row.key === null ? null : String(row.key),
    inputs: JSON.parse(String(row.inputs)) as StoredPair['inputs'],
    fault: row.fault === null ? null : (JSON.parse(String(row.fault)) as StoredPair['fault']),
    comparison: row.packed ? unpackComparison(row.packed as Uint8Array) : null,
  };
}
