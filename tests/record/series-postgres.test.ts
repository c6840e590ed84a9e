/** A series in PostgreSQL: the contract, on a server that the test starts. */
import { Client } from 'pg';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openPostgresSeries } from '#lib/record/series/postgres-series.ts';
import { QUEUE_SCHEMA, SCHEMA } from '#lib/record/series/postgres-tables.ts';
import { headOf, pairsNamed } from '#tests/series/sample-series.ts';
import { hasPostgres, type PostgresServer, startPostgres, WITHOUT_POSTGRES } from './postgres-server.ts';
import { seriesStoreContract } from './series-store.contract.ts';

describe.skipIf(!hasPostgres)(`a series in PostgreSQL${hasPostgres ? '' : ` (${WITHOUT_POSTGRES})`}`, () => {
  let server: PostgresServer;
  beforeAll(() => {
    server = startPostgres();
  });
  afterAll(() => server?.stop());

  const direct = async (sql: string): Promise<Record<string, unknown>[]> => {
    const client = new Client({ connectionString: server.url });
    await client.connect();
    const { rows } = await client.query(sql);
    await client.end();
    return rows as Record<string, unknown>[];
  };
  let count = 0;
  seriesStoreContract(async (work) => {
    // One series at a time: a worker takes pairs of any.
    if (count++ > 0) await direct(`DELETE FROM ${SCHEMA}.series; DELETE FROM ${QUEUE_SCHEMA}.job`);
    const one = await openPostgresSeries(server.url, { series: 'study', lookSeconds: 1 });
    const two = await openPostgresSeries(server.url, { series: 'study', supervise: false });
    try {
      await work({
        one,
        two,
        lapse: async () => {
          await direct(`UPDATE ${QUEUE_SCHEMA}.job SET heartbeat_on = now() - interval '1 hour' WHERE state = 'active' AND name = 'pairs'`);
          for (;;) {
            const [row] = await direct(`SELECT count(*)::int AS n FROM ${QUEUE_SCHEMA}.job WHERE state = 'active' AND name = 'pairs'`);
            if (row?.n === 0) return;
            await new Promise((resolve) => setTimeout(resolve, 50));
          }
        },
      });
    } finally {
      await two.close();
      await one.close();
    }
  });

  it('programs that begin at once on an empty database do not get into each other\u2019s way', async () => {
    await direct(`DROP SCHEMA ${SCHEMA} CASCADE; DROP SCHEMA ${QUEUE_SCHEMA} CASCADE`);
    const stores = await Promise.all([1, 2, 3, 4].map(() => openPostgresSeries(server.url, { series: 'study' })));
    expect(await stores[0]!.begin(headOf(), pairsNamed(['a']))).toMatchObject({ added: 1 });
    expect(await stores[3]!.claim('w')).toMatchObject({ id: 'a/v1/v2' });
    await Promise.all(stores.map((store) => store.close()));
  });

  it('several series lie beside each other, and a worker takes pairs of all', async () => {
    await direct(`DELETE FROM ${SCHEMA}.series; DELETE FROM ${QUEUE_SCHEMA}.job`);
    const [a, b, worker] = await Promise.all([
      openPostgresSeries(server.url, { series: 'first' }),
      openPostgresSeries(server.url, { series: 'second' }),
      openPostgresSeries(server.url),
    ]);
    await a.begin(headOf(), pairsNamed(['x', 'y']));
    await b.begin(headOf(), pairsNamed(['x']));
    const taken = [await worker.claim('w'), await worker.claim('w'), await worker.claim('w'), await worker.claim('w')];
    expect(taken.map((task) => task && `${task.series}: ${task.id}`).sort()).toEqual([
      'first: x/v1/v2',
      'first: y/v1/v2',
      null,
      'second: x/v1/v2',
    ]);
    expect([(await a.counts()).running, (await b.counts()).running, (await worker.counts()).running]).toEqual([2, 1, 3]);
    await Promise.all([a.close(), b.close(), worker.close()]);
  });
});
