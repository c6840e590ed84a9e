/**
 * One measuring thread as the runner sees it: it is started when first needed, does one job at a time, and is
 * replaced when it has died, has done many jobs, or the process has grown large.
 */
import { Worker } from 'node:worker_threads';
import type { Job } from '#shared/job.ts';
import type { FromThread, ThreadStart, ToThread } from './thread-messages.ts';

export type ThreadLimits = Readonly<{
  /** Jobs after which a thread is replaced: native memory fragments, and a fresh start costs a second. */
  mostJobs: number;
  /** Resident bytes of the process after which it is replaced. */
  mostBytes: number;
  /** JavaScript heap of one thread, MB; beyond it the thread dies and the process lives. */
  heapMb: number;
}>;

export const USUAL_LIMITS: ThreadLimits = { mostJobs: 50, mostBytes: 1_400_000_000, heapMb: 1536 };

/** How a job ended, as far as the thread goes; what it found is in the record. */
export type ThreadEnd = Readonly<{ kind: 'finished'; trouble: string | null }> | Readonly<{ kind: 'died'; reason: string }>;

/** `Task` is what it is given to do: a job of the record, or a pair of a series. */
export type Thread<Task extends { id: string } = Job> = Readonly<{
  /** Starts the thread ahead of its first job. */
  warm: () => void;
  run: (job: Task) => Promise<ThreadEnd>;
  /** Asks the running job to stop at its next step. */
  askStop: () => void;
  /** Ends the thread at once, whatever it does; a running job ends as `died`. */
  end: () => Promise<void>;
}>;

/** `start` is handed to the thread with `stop` added. */
export function makeThread<Task extends { id: string } = Job, Start extends object = Omit<ThreadStart, 'stop'>>(
  file: URL,
  start: Start,
  limits: ThreadLimits = USUAL_LIMITS,
): Thread<Task> {
  const stop = new Int32Array(new SharedArrayBuffer(Int32Array.BYTES_PER_ELEMENT));
  let worker: Worker | null = null;
  let jobs = 0;

  const living = (): Worker => {
    if (worker) return worker;
    const fresh = new Worker(file, {
      workerData: { ...start, stop } satisfies Pick<ThreadStart, 'stop'>,
      resourceLimits: { maxOldGenerationSizeMb: limits.heapMb },
    });
    // A thread that dies between jobs is only forgotten; `run` listens while it has one.
    fresh.on('error', () => undefined);
    fresh.once('exit', () => {
      if (worker === fresh) worker = null;
    });
    worker = fresh;
    jobs = 0;
    return fresh;
  };
  const end = async (): Promise<void> => {
    const ending = worker;
    worker = null;
    await ending?.terminate();
  };

  return {
    warm: () => void living(),
    end,
    askStop: () => void Atomics.store(stop, 0, 1),
    run: async (job) => {
      Atomics.store(stop, 0, 0);
      const one = living();
      jobs++;
      const ended = await new Promise<ThreadEnd>((resolve) => {
        let reason = 'it ended by itself';
        const onMessage = ({ finished, trouble }: FromThread): void => {
          if (finished === job.id) settle({ kind: 'finished', trouble });
        };
        const onError = (error: unknown): void => {
          reason = error instanceof Error ? (error.stack ?? error.message) : String(error);
        };
        const onExit = (): void => settle({ kind: 'died', reason });
        const settle = (how: ThreadEnd): void => {
          one.off('message', onMessage).off('error', onError).off('exit', onExit);
          resolve(how);
        };
        one.on('message', onMessage).on('error', onError).on('exit', onExit);
        one.postMessage({ do: job } satisfies ToThread<Task>);
      });
      if (ended.kind === 'finished' && (jobs >= limits.mostJobs || process.memoryUsage.rss() > limits.mostBytes)) await end();
      return ended;
    },
  };
}
