/** A worker process of a series with the stand-in for the measurement: what the tests start, kill and start again. Its words: store, photographs, threads. */
import { openStore } from '#workers/series/open-place.ts';
import { runSeries } from '#workers/series/run-series.ts';
import type { StorePlace } from '#workers/series/series-messages.ts';

const [place, photographs, workers] = process.argv.slice(2) as [string, string, string];
const store = JSON.parse(place) as StorePlace;
const opened = await openStore(store);
await runSeries(opened, {
  start: { store, photographs, plates: null },
  workers: Number(workers),
  untilDone: true,
  signal: new AbortController().signal,
  threadFile: new URL('./fake-series.thread.ts', import.meta.url),
  countMs: 200,
});
await opened.close();
process.exit(0);
