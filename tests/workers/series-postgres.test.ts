/** A series on many machines, tried hard: three workers, one killed in the middle of a pair, the database restarted once. */
import { once } from 'node:events';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { Client } from 'pg';
import { describe, expect, it } from 'vitest';
import { openPostgresSeries } from '#lib/record/series/postgres-series.ts';
import { QUEUE_SCHEMA, SCHEMA } from '#lib/record/series/postgres-tables.ts';
import { hasPostgres, startPostgres, WITHOUT_POSTGRES } from '#tests/record/postgres-server.ts';
import { withDir } from '#tests/record/sample-jobs.ts';
import { headOf } from '#tests/series/sample-series.ts';
import type { StorePlace } from '#workers/series/series-messages.ts';
import { layStudy, startWorker, until } from './fake-study.ts';

const SLOW = 9;
const QUICK = 60;

describe.skipIf(!hasPostgres)(`law: many machines${hasPostgres ? '' : ` (${WITHOUT_POSTGRES})`}`, () => {
  it('three workers, one killed mid-pair, the database restarted: every pair has exactly one result', { timeout: 120_000 }, () =>
    withDir(async (dir) => {
      const server = startPostgres();
      try {
        const photos = join(dir, 'photos');
        const words = Object.fromEntries(
          Array.from({ length: SLOW + QUICK }, (_, k) => [`s${k}`, k % 8 === 0 && k / 8 < SLOW ? 'slow' : k === 5 ? 'no-face' : '']),
        );
        const place: StorePlace = { kind: 'postgres', url: server.url, series: '' };
        const store = await openPostgresSeries(server.url, { series: 'study' });
        await store.begin(headOf(), await layStudy(photos, words));

        const workers = [1, 2, 3].map(() => startWorker(place, photos));
        const exits = workers.map((worker) => once(worker, 'exit'));
        // In the middle of a pair: one is running, and stays so for the second that a slow one takes.
        await until(async () => (await store.counts()).measured >= 3);
        await until(async () => (await store.pairs({ state: 'running' })).some(({ pair }) => words[pair.subject] === 'slow'));
        const [held] = await rows(server.url, `SELECT worker FROM ${SCHEMA}.pair WHERE state = 'running' AND pair = ANY($1)`, [
          Object.keys(words).flatMap((who) => (words[who] === 'slow' ? [`${who}/v1/v2`] : [])),
        ]);
        const victim = workers.find(({ pid }) => String(held?.worker ?? '').includes(`-${pid}-`)) ?? workers[0]!;
        victim.kill('SIGKILL');
        await until(async () => (await store.counts()).measured >= 10);
        server.restart();
        await sleep(100);

        const codes = await Promise.all(exits);
        expect(codes.map(([code, signal]) => signal ?? code).sort()).toEqual([0, 0, 'SIGKILL']);
        expect(await store.counts()).toEqual({ waiting: 0, running: 0, measured: SLOW + QUICK - 1, notComparable: 0, failed: 1 });
        const all = await store.pairs();
        expect(all).toHaveLength(SLOW + QUICK);
        expect(all.filter(({ state, key }) => (state === 'measured') !== (key !== null))).toEqual([]);
        // Somebody's pair was lost, and measured by another.
        expect(all.filter(({ attempts }) => attempts > 1).length).toBeGreaterThan(0);
        const [made] = await rows(server.url, `SELECT count(*)::int AS n, count(DISTINCT key)::int AS keys FROM ${SCHEMA}.comparison`);
        expect(made).toEqual({ n: SLOW + QUICK - 1, keys: SLOW + QUICK - 1 });
        // And nothing is left to be delivered.
        const [left] = await rows(
          server.url,
          `SELECT count(*)::int AS n FROM ${QUEUE_SCHEMA}.job WHERE name = 'pairs' AND state < 'completed'`,
        );
        expect(left).toEqual({ n: 0 });
        await store.close();
      } finally {
        server.stop();
      }
    }),
  );
});

async function rows(url: string, sql: string, values: unknown[] = []): Promise<Record<string, unknown>[]> {
  const client = new Client({ connectionString: url });
  await client.connect();
  const { rows: found } = await client.query(sql, values);
  await client.end();
  return found as Record<string, unknown>[];
}
