/** A series thread with the stand-in for the measurement, told what to do by the bytes of its "photographs"; see fake-measuring.ts. */
import { parentPort, workerData } from 'node:worker_threads';
import { openPhotographs, openStore } from '#workers/series/open-place.ts';
import type { SeriesStart } from '#workers/series/series-messages.ts';
import { servePairs } from '#workers/series/serve-pairs.ts';
import { fakeMeasuring } from './fake-measuring.ts';

const { store, photographs } = workerData as SeriesStart;
servePairs(
  parentPort!,
  (async () => ({
    store: await openStore(store, { inThread: true }),
    photographs: await openPhotographs(photographs, process.env),
    measuring: async () => fakeMeasuring,
  }))(),
);
