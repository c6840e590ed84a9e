/** The runner of a series with a stand-in for the measurement: answers, failures, stops, crashes, and going on. */
import { once } from 'node:events';
import { rm, utimes, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { folderPhotographs } from '#lib/record/series/folder-photographs.ts';
import { openSqliteSeries } from '#lib/record/series/sqlite-series.ts';
import type { SeriesStore } from '#lib/record/series/types.ts';
import { withDir } from '#tests/record/sample-jobs.ts';
import { headOf } from '#tests/series/sample-series.ts';
import { makePace } from '#workers/commands/series-pace.ts';
import type { StorePlace } from '#workers/series/series-messages.ts';
import { changedPairs, failedPairs } from '#workers/series/what-again.ts';
import { layStudy, runHere, startWorker, until } from './fake-study.ts';

type Study = Readonly<{ dir: string; photos: string; place: StorePlace; store: SeriesStore }>;

const withStudy = (subjects: Readonly<Record<string, string>>, work: (study: Study) => Promise<void>): Promise<void> =>
  withDir(async (dir) => {
    const photos = join(dir, 'photos');
    const place: StorePlace = { kind: 'sqlite', file: join(dir, 'series.sqlite') };
    const store = openSqliteSeries(place.file);
    await store.begin(headOf(), await layStudy(photos, subjects));
    try {
      await work({ dir, photos, place, store });
    } finally {
      await store.close();
    }
  });

const many = (count: number, words: string): Record<string, string> =>
  Object.fromEntries(Array.from({ length: count }, (_, k) => [`s${String(k).padStart(3, '0')}`, words]));

describe('law: a run', () => {
  it('answers every pair, and says of each that failed why', () =>
    withStudy(
      { good: '', refused: 'refuse', faceless: 'no-face', broken: 'not-an-image', gone: '', fatal: 'exit', mistaken: 'throw' },
      async ({ photos, place, store }) => {
        await rm(join(photos, 'gone', 'after.jpg'));
        const events: string[] = [];
        const counts = await runHere(store, place, photos, { log: (event) => void events.push(event) });
        expect(counts).toEqual({ waiting: 0, running: 0, measured: 1, notComparable: 1, failed: 5 });
        const ended = (await store.pairs()).map(({ pair, state, fault, attempts }) => [pair.subject, fault?.code ?? state, attempts]);
        expect(ended).toEqual([
          ['broken', 'not-an-image', 1],
          ['faceless', 'no-face', 1],
          ['fatal', 'thread-died', 2],
          ['gone', 'no-file', 1],
          ['good', 'measured', 1],
          ['mistaken', 'program-error', 2],
          ['refused', 'not-comparable', 1],
        ]);
        expect(events.filter((event) => event === 'thread-died')).toHaveLength(2);
        expect((await failedPairs(store)).length).toBe(5);
      },
    ));

  it('keeps the facts of what it read, and a photograph is known by its bytes and name', () =>
    withStudy({ a: '' }, async ({ photos, place, store }) => {
      await runHere(store, place, photos);
      const kept = (await store.pair('a/v1/v2'))!;
      expect(kept.inputs.map(({ role, file, bytes }) => [role, file, bytes])).toEqual([
        ['before', 'a/before.jpg', 9],
        ['after', 'a/after.jpg', 8],
      ]);
      expect(kept.comparison?.inputs.map(({ name, sha256 }) => [name, sha256])).toEqual(
        kept.inputs.map(({ file, sha256 }) => [file.slice(2), sha256]),
      );
    }));

  it('stops when asked, gives back what it held, and goes on to the same answers', () =>
    withStudy(many(5, 'slow'), async ({ photos, place, store }) => {
      const stop = new AbortController();
      const first = runHere(store, place, photos, {
        signal: stop.signal,
        onCounts: ({ measured }) => {
          if (measured >= 1) stop.abort();
        },
      });
      const counts = await first;
      expect(counts.running).toBe(0);
      expect(counts.waiting).toBeGreaterThan(0);
      const before = await store.pairs({ state: 'measured' });
      expect(await runHere(store, place, photos)).toMatchObject({ measured: 5, waiting: 0 });
      const after = await store.pairs();
      expect(after.filter(({ attempts }) => attempts !== 1)).toEqual([]);
      expect(before.filter((one) => after.find(({ pair }) => pair.pair === one.pair.pair)?.key !== one.key)).toEqual([]);
    }));

  it('loses nothing and repeats nothing when its process is killed at any moment', { timeout: 90_000 }, () =>
    withStudy(
      { ...many(6, 'slow'), ...Object.fromEntries(Array.from({ length: 40 }, (_, k) => [`t${k}`, ''])) },
      async ({ photos, place, store }) => {
        for (const share of [3, 20]) {
          const worker = startWorker(place, photos, 2);
          await until(async () => (await store.counts()).measured >= share);
          worker.kill('SIGKILL');
          await once(worker, 'exit');
        }
        const kept = await store.pairs({ state: 'measured' });
        const last = startWorker(place, photos, 2);
        expect((await once(last, 'exit'))[0]).toBe(0);
        const all = await store.pairs();
        expect(all.map(({ state }) => state)).toEqual(all.map(() => 'measured'));
        // Those that were in hand were tried again; those that were answered were not.
        const tries = new Map(all.map(({ pair, attempts }) => [pair.pair, attempts]));
        expect(kept.filter(({ pair, attempts }) => tries.get(pair.pair) !== attempts)).toEqual([]);
        expect([...tries.values()].filter((attempts) => attempts > 1).length).toBeGreaterThan(0);
        expect(Math.max(...tries.values())).toBeLessThanOrEqual(3);
      },
    ),
  );
});

describe('law: going on', () => {
  it('asks a pair anew when its photographs changed, and only reads it when they did not', () =>
    withStudy({ a: '', b: '', c: '' }, async ({ photos, place, store }) => {
      await runHere(store, place, photos);
      const photographs = folderPhotographs(photos);
      expect(await changedPairs(store, photographs)).toEqual([]);
      const keys = (await store.pairs()).map(({ key }) => key);
      await writeFile(join(photos, 'a', 'after.jpg'), 'another photograph');
      await utimes(join(photos, 'b', 'after.jpg'), 1, 1);
      const changed = await changedPairs(store, photographs);
      expect(changed).toEqual(['a/v1/v2', 'b/v1/v2']);
      expect(await store.again(changed)).toBe(2);
      await runHere(store, place, photos);
      const now = (await store.pairs()).map(({ key }) => key);
      expect([now[0] === keys[0], now[1] === keys[1], now[2] === keys[2]]).toEqual([false, true, true]);
    }));
});

describe('law: the pace', () => {
  it('is that of the last minutes, and says what is left', () => {
    let at = 0;
    const pace = makePace(() => at);
    const counts = (measured: number) => ({ waiting: 100 - measured, running: 0, measured, notComparable: 0, failed: 0 });
    expect(pace.look(counts(0)).words).toBe('0 of 100 pairs');
    at = 60_000;
    expect(pace.look(counts(20))).toEqual({ words: '20 of 100 pairs, 20.0 a minute, 4 min left', fraction: 0.2, perMinute: 20 });
    for (let minute = 2; minute < 12; minute++) {
      at = minute * 60_000;
      pace.look(counts(20 + minute));
    }
    expect(pace.look(counts(31)).words).toMatch(/^31 of 100 pairs, 1\.00 a minute, 1 h 9 min left$/);
    expect(pace.look({ waiting: 0, running: 0, measured: 97, notComparable: 2, failed: 1 }).words).toMatch(
      /^100 of 100 pairs, .*, 2 not comparable, 1 failed$/,
    );
  });
});
