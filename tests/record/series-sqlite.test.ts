/** A series in a SQLite file: the contract, and what is its own: several processes, a later version. */
import { execFile } from 'node:child_process';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { setTimeout as sleep } from 'node:timers/promises';
import { promisify } from 'node:util';
import { describe, expect, it } from 'vitest';
import { openSqliteSeries } from '#lib/record/series/sqlite-series.ts';
import { headOf, pairsNamed } from '#tests/series/sample-series.ts';
import { withDir } from './sample-jobs.ts';
import { seriesStoreContract } from './series-store.contract.ts';

const LEASE_MS = 400;

seriesStoreContract((work) =>
  withDir(async (dir) => {
    const [one, two] = [1, 2].map(() => openSqliteSeries(join(dir, 'series.sqlite'), { leaseMs: LEASE_MS }));
    try {
      await work({ one: one!, two: two!, lapse: () => sleep(LEASE_MS + 20) });
    } finally {
      await one!.close();
      await two!.close();
    }
  }),
);

describe('law: on the disk', () => {
  it('three processes share the pairs out between them', () =>
    withDir(async (dir) => {
      const file = join(dir, 'series.sqlite');
      const store = openSqliteSeries(file);
      await store.begin(headOf(), pairsNamed(Array.from({ length: 60 }, (_, k) => `s${k}`)));
      const script = `
        import { openSqliteSeries } from '#lib/record/series/sqlite-series.ts';
        const store = openSqliteSeries(process.argv[1]);
        let taken = 0;
        for (let task = await store.claim('w' + process.pid); task; task = await store.claim('w' + process.pid)) {
          const fault = { code: 'no-face', message: 'x' };
          if (await store.finish(task, { state: 'failed', inputs: [], fault })) taken++;
        }
        await store.close();
        console.log(taken);`;
      const run = () => promisify(execFile)(process.execPath, ['--input-type=module', '--eval', script, file]);
      const took = await Promise.all([run(), run(), run()]);
      expect(took.reduce((sum, { stdout }) => sum + Number(stdout), 0)).toBe(60);
      expect((await store.pairs()).filter(({ attempts }) => attempts !== 1)).toEqual([]);
      await store.close();
    }));
});

describe('refusal', () => {
  it('does not touch a series of a later version', () =>
    withDir(async (dir) => {
      const file = join(dir, 'series.sqlite');
      await openSqliteSeries(file).close();
      const db = new DatabaseSync(file);
      db.exec('PRAGMA user_version = 999');
      db.close();
      expect(() => openSqliteSeries(file)).toThrow(/later version/);
    }));
});
