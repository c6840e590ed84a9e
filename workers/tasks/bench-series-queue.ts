/**
 * What queue and tables of a series cost for each pair, with the measuring left out: every answer is the same real comparison. Words:
 * a folder, the store with a comparison to take, an address of PostgreSQL or nothing. Prints its figures as JSON.
 */
import { rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { packComparison, sha256Of } from '#lib/record/series/pack.ts';
import { openSqliteSeries } from '#lib/record/series/sqlite-series.ts';
import type { SeriesHead, SeriesStore } from '#lib/record/series/types.ts';
import type { Comparison } from '#shared/comparison.ts';
import type { SeriesPair } from '#shared/series.ts';
import { openStore } from '#workers/series/open-place.ts';
import { writeTables } from '#workers/series/write-tables.ts';

export type QueueCost = Readonly<{
  store: 'SQLite' | 'PostgreSQL';
  pairs: number;
  /** ms for each pair: to be asked for, to be claimed and answered, to be written into the tables. */
  beginMs: number;
  answerMs: number;
  tablesMs: number;
  /** Bytes for each pair, on the disk. */
  storeBytes: number | null;
  tablesBytes: number;
}>;

export type QueueFigures = Readonly<{ packedBytes: number; costs: readonly QueueCost[] }>;

const SIZES = [100, 1_000, 10_000];
const HEAD: SeriesHead = { ask: { scale: null, setUp: null }, manifestName: '', manifestSha256: '', ratings: [], leftOut: [] };

const [folder, donor, url] = process.argv.slice(2) as [string, string, string | undefined];
const given = openSqliteSeries(donor);
const comparison = (await given.pair('s0/v1/v2'))?.comparison;
await given.close();
if (!comparison) throw new Error('there is no comparison to take');
const costs: QueueCost[] = [];
for (const pairs of SIZES) {
  const file = join(folder, `queue-${pairs}.sqlite`);
  for (const ending of ['', '-wal', '-shm']) rmSync(file + ending, { force: true });
  const store = openSqliteSeries(file);
  costs.push(
    await cost(
      'SQLite',
      store,
      pairs,
      comparison,
      () => statSync(file).size + (statSync(`${file}-wal`, { throwIfNoEntry: false })?.size ?? 0),
    ),
  );
  await store.close();
  if (url === undefined) continue;
  const queue = await openStore({ kind: 'postgres', url, series: `bench-${pairs}` });
  costs.push(await cost('PostgreSQL', queue, pairs, comparison, () => null));
  await queue.begin(HEAD, []);
  await queue.close();
}
process.stdout.write(JSON.stringify({ packedBytes: packComparison(comparison).length, costs } satisfies QueueFigures), () =>
  process.exit(0),
);

async function cost(
  name: QueueCost['store'],
  store: SeriesStore,
  count: number,
  one: Comparison,
  bytes: () => number | null,
): Promise<QueueCost> {
  const pairs = Array.from({ length: count }, (_, k) => pairOf(k));
  const begun = performance.now();
  await store.begin(HEAD, pairs);
  const claimed = performance.now();
  for (let task = await store.claim('bench'); task; task = await store.claim('bench'))
    await store.finish(task, {
      state: 'measured',
      key: sha256Of(task.id),
      inputs: (['before', 'after'] as const).map((role) => ({
        role,
        file: `${task.id}-${role}.jpg`,
        sha256: sha256Of(role),
        bytes: 5e6,
        stamp: null,
      })),
      comparison: one,
    });
  const answered = performance.now();
  const out = join(folder, `tables-${name}-${count}`);
  await writeTables(store, HEAD, out);
  const written = performance.now();
  return {
    store: name,
    pairs: count,
    beginMs: (claimed - begun) / count,
    answerMs: (answered - claimed) / count,
    tablesMs: (written - answered) / count,
    storeBytes: bytes() === null ? null : bytes()! / count,
    tablesBytes:
      ['results.csv', 'results.parquet', 'pairs.csv', 'inputs.csv'].reduce((sum, file) => sum + statSync(join(out, file)).size, 0) / count,
  };
}

function pairOf(k: number): SeriesPair {
  const subject = `s${String(k).padStart(6, '0')}`;
  return {
    pair: `${subject}/v1/v2`,
    kind: 'change',
    subject,
    group: null,
    beforeVisit: 'v1',
    afterVisit: 'v2',
    beforeOn: '2026-03-02',
    afterOn: '2026-05-04',
    treatedOn: null,
    concernZones: [],
    before: [{ file: `${subject}/before.jpg`, view: null }],
    after: [{ file: `${subject}/after.jpg`, view: null }],
  };
}
