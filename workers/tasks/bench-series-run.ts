/**
 * One run of a series in a process of its own, for `bench-series.ts`: the pair of the bench, so many times under other names, with so
 * many workers. Prints its figures as JSON.
 */
import { copyFileSync, mkdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { openSqliteSeries } from '#lib/record/series/sqlite-series.ts';
import type { SeriesPair } from '#shared/series.ts';
import { runSeries } from '#workers/series/run-series.ts';
import type { StorePlace } from '#workers/series/series-messages.ts';

export type SeriesRun = Readonly<{
  pairs: number;
  measured: number;
  /** From the end of the first pair of each worker on, so that loading does not count. */
  perMinute: number;
  peakMb: number;
}>;

const [folder, beforeFile, afterFile, countWords, workerWords] = process.argv.slice(2) as [string, string, string, string, string];
const [count, workers] = [Number(countWords), Number(workerWords)];
rmSync(folder, { recursive: true, force: true });
mkdirSync(folder, { recursive: true });
const pairs = Array.from({ length: count }, (_, k): SeriesPair => {
  // A photograph is known by its name, too, so that each of these pairs is measured.
  const [before, after] = [`before-${k}.jpg`, `after-${k}.jpg`];
  copyFileSync(beforeFile, join(folder, before));
  copyFileSync(afterFile, join(folder, after));
  return {
    pair: `s${k}/v1/v2`,
    kind: 'change',
    subject: `s${k}`,
    group: null,
    beforeVisit: 'v1',
    afterVisit: 'v2',
    beforeOn: null,
    afterOn: null,
    treatedOn: null,
    concernZones: [],
    before: [{ file: before, view: null }],
    after: [{ file: after, view: null }],
  };
});
const place: StorePlace = { kind: 'sqlite', file: join(folder, 'series.sqlite') };
const store = openSqliteSeries(place.file);
await store.begin({ ask: { scale: null, setUp: null }, manifestName: '', manifestSha256: '', ratings: [], leftOut: [] }, pairs);
const ends: number[] = [];
const counts = await runSeries(store, {
  start: { store: place, photographs: folder, plates: null },
  workers,
  untilDone: true,
  signal: new AbortController().signal,
  countMs: 20,
  onCounts: ({ measured }) => {
    while (ends.length < measured) ends.push(performance.now());
  },
});
await store.close();
const first = ends[workers - 1]!;
const figures: SeriesRun = {
  pairs: count,
  measured: counts.measured,
  perMinute: (60_000 * (ends.length - workers)) / (ends.at(-1)! - first),
  peakMb: process.resourceUsage().maxRSS / 1024,
};
process.stdout.write(JSON.stringify(figures), () => process.exit(0));
