/** A measuring thread of a series: takes one pair at a time, and keeps the landmark engine loaded between them. */
import { parentPort, workerData } from 'node:worker_threads';
import { loadMeasuring } from '#workers/measuring.ts';
import { openPhotographs, openStore } from './open-place.ts';
import { writePairPictures } from './pair-pictures.ts';
import type { SeriesStart } from './series-messages.ts';
import { servePairs } from './serve-pairs.ts';

if (!parentPort) throw new Error('series.thread.ts runs as a worker thread of run-series.ts');
const { store, photographs, plates } = workerData as SeriesStart;

// Begun at once, so that the first pair finds the models loaded. A failure shows at the first pair.
const measuring = loadMeasuring().then(async (loaded) => {
  await loaded.warm();
  return loaded;
});
measuring.catch(() => undefined);

servePairs(
  parentPort,
  (async () => ({
    store: await openStore(store, { inThread: true }),
    photographs: await openPhotographs(photographs, process.env),
    measuring: () => measuring,
    withPictures: plates === null ? undefined : async (asked, measured) => writePairPictures(plates, await measuring, asked, measured),
  }))(),
);
