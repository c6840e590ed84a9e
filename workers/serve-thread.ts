/** The body of a measuring thread, apart from what it measures with. */
import type { MessagePort } from 'node:worker_threads';
import type { JobFault } from '#shared/job.ts';
import type { Measuring } from './measuring.ts';
import { type JobPlace, runJob } from './run-job.ts';
import type { FromThread, ToThread } from './thread-messages.ts';

const OWN_ERROR: JobFault = {
  code: 'program-error',
  message:
    'The program met an error of its own while measuring; the photographs may be good. Measure again, and report it if it happens twice.',
  photo: null,
};

/** Answers each job that comes through `port`, and never lets an error out of the thread. */
export function serveThread(port: MessagePort, place: JobPlace, measuring: Promise<Measuring>): void {
  port.on('message', async (message: ToThread) => {
    const job = message.do;
    let trouble: string | null = null;
    try {
      await runJob(place, job, await measuring);
    } catch (error) {
      trouble = error instanceof Error ? (error.stack ?? error.message) : String(error);
      await place.record.fail(job.id, place.runner, OWN_ERROR).catch(() => undefined);
    }
    port.postMessage({ finished: job.id, trouble } satisfies FromThread);
  });
}
