/** The measuring thread with the stand-in: what the tests of the runner give it instead of compare.thread.ts. */
import { parentPort, workerData } from 'node:worker_threads';
import { openRecord } from '#lib/record/open.ts';
import { serveThread } from '#workers/serve-thread.ts';
import type { ThreadStart } from '#workers/thread-messages.ts';
import { fakeMeasuring } from './fake-measuring.ts';

const { dataDir, key, runner, stop } = workerData as ThreadStart;
serveThread(
  parentPort!,
  { record: openRecord({ dataDir, key }), runner, stopAsked: () => Atomics.load(stop, 0) === 1 },
  Promise.resolve(fakeMeasuring),
);
