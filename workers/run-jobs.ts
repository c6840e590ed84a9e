/**
 * The runner: takes jobs from the record and has them done by its threads, until it is told to stop.
 * One thread takes any job; a second takes checks only, so that a photograph just added is judged while a comparison runs.
 */
import { randomBytes } from 'node:crypto';
import { hostname } from 'node:os';
import { setTimeout as sleep } from 'node:timers/promises';
import { HEARTBEAT_MS, SILENT_MS } from '#lib/record/open.ts';
import type { RecordStore } from '#lib/record/types.ts';
import type { Job, JobFault } from '#shared/job.ts';
import { makeThread, type Thread, type ThreadLimits, USUAL_LIMITS } from './thread.ts';

const LOOK_MS = 150;
/** A thread that has not stopped by itself this long after it was asked to is ended. */
const STOP_GRACE_MS = 4_000;

const THREAD_DIED: JobFault = {
  code: 'thread-died',
  message:
    'The measuring thread ended before the measurement did, twice. Close other programs or use smaller photographs, and measure again.',
  photo: null,
};

export type RunnerOptions = Readonly<{
  dataDir: string;
  /** Opens the record in the threads; without it they find the key file. */
  key?: Uint8Array | undefined;
  threadFile?: URL;
  limits?: ThreadLimits;
  /** What each thread takes; null is anything. */
  threads?: readonly (Job['kind'] | null)[];
  /** For the log: no names of people or files. */
  log?: (event: string, details: Readonly<Record<string, unknown>>) => void;
}>;

export type Runner = Readonly<{ name: string; stop: () => Promise<void> }>;

/** The record stays the caller's to close, after `stop`. */
export function runJobs(record: RecordStore, options: RunnerOptions): Runner {
  const {
    dataDir,
    key,
    threadFile = new URL('./compare.thread.ts', import.meta.url),
    limits = USUAL_LIMITS,
    threads = [null, 'check'],
    log = () => undefined,
  } = options;
  const name = `${hostname()}-${process.pid}-${randomBytes(4).toString('hex')}`;
  const stopping = new AbortController();
  const crew = threads.map((kind) => ({ kind, thread: makeThread(threadFile, { dataDir, key, runner: name }, limits) }));

  const tend = async (): Promise<void> => {
    await record.heartbeat(name);
    const back = await record.reclaim(SILENT_MS);
    if (back > 0) log('reclaimed', { jobs: back });
  };
  const trouble = (error: unknown): void => log('trouble', { error: error instanceof Error ? error.stack : String(error) });
  const timer = setInterval(() => void tend().catch(trouble), HEARTBEAT_MS);

  const work = async ({ kind, thread }: (typeof crew)[number]): Promise<void> => {
    while (!stopping.signal.aborted) {
      const job = await record.claim(name, kind ?? undefined).catch((error) => {
        trouble(error);
        return null;
      });
      if (job) await doJob(record, name, thread, job, stopping.signal, log);
      else await sleep(LOOK_MS, undefined, { signal: stopping.signal }).catch(() => undefined);
    }
  };

  crew[0]?.thread.warm();
  const loops = tend()
    .catch(trouble)
    .then(() => Promise.all(crew.map(work)));
  return {
    name,
    stop: async () => {
      stopping.abort();
      clearInterval(timer);
      await Promise.all(crew.map(({ thread }) => thread.end()));
      await loops;
      await record.release(name);
    },
  };
}

async function doJob(
  record: RecordStore,
  runner: string,
  thread: Thread,
  job: Job,
  stopping: AbortSignal,
  log: NonNullable<RunnerOptions['log']>,
): Promise<void> {
  log('started', { job: job.id, kind: job.kind, attempt: job.attempts });
  const watch = watchForStop(record, job.id, thread);
  const ended = await thread.run(job);
  const stopped = watch.end();
  if (ended.kind === 'finished') {
    log(ended.trouble ? 'program-error' : 'finished', { job: job.id, ...(ended.trouble ? { error: ended.trouble } : {}) });
    return;
  }
  if (stopping.aborted) return; // `release` gives the job back.
  log('thread-died', { job: job.id, reason: ended.reason, stopped });
  if (stopped) await record.stopped(job.id, runner);
  else await record.fail(job.id, runner, THREAD_DIED, { retry: true });
}

/** Hands a stop on to the thread, and ends a thread that goes on long after. `end` says whether it had to. */
function watchForStop(record: RecordStore, id: string, thread: Thread): { end: () => boolean } {
  let askedAt: number | null = null;
  let ended = false;
  let over = false;
  const timer = setInterval(async () => {
    const job = await record.job(id).catch(() => null);
    if (over || !job?.stopAsked || job.state !== 'running') return;
    askedAt ??= performance.now();
    thread.askStop();
    if (performance.now() - askedAt < STOP_GRACE_MS || ended) return;
    ended = true;
    await thread.end();
  }, LOOK_MS * 2);
  return {
    end: () => {
      over = true;
      clearInterval(timer);
      return ended;
    },
  };
}
