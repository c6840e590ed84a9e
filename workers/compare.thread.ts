/** A measuring thread: takes one job at a time, and keeps the landmark engine loaded between them. */
import { parentPort, workerData } from 'node:worker_threads';
import { openRecord } from '#lib/record/open.ts';
import { loadMeasuring } from './measuring.ts';
import { serveThread } from './serve-thread.ts';
import type { ThreadStart } from './thread-messages.ts';

if (!parentPort) throw new Error('compare.thread.ts runs as a worker thread of runner.ts');
const { dataDir, key, runner, stop } = workerData as ThreadStart;

// Begun at once, so that the first photograph finds the models loaded. A failure shows at the first job.
const measuring = loadMeasuring().then(async (loaded) => {
  await loaded.warm();
  return loaded;
});
measuring.catch(() => undefined);

serveThread(parentPort, { record: openRecord({ dataDir, key }), runner, stopAsked: () => Atomics.load(stop, 0) === 1 }, measuring);
