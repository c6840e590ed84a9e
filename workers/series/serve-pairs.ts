/** The body of a series thread, apart from what it measures with. */
import type { MessagePort } from 'node:worker_threads';
import type { FromThread, ToThread } from '#workers/thread-messages.ts';
import { measurePair, type PairPlace } from './measure-pair.ts';
import type { SeriesWork } from './series-messages.ts';

/** Answers each pair that comes through `port`, and never lets an error out of the thread: the runner hears of it as `trouble`. */
export function servePairs(port: MessagePort, place: Promise<PairPlace>): void {
  port.on('message', async ({ do: { id, task } }: ToThread<SeriesWork>) => {
    let trouble: string | null = null;
    try {
      await measurePair(await place, task);
    } catch (error) {
      trouble = error instanceof Error ? (error.stack ?? error.message) : String(error);
    }
    port.postMessage({ finished: id, trouble } satisfies FromThread);
  });
}
