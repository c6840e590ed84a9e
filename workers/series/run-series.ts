/**
 * Measures the pairs of a store with threads of this machine, until none is left or it is told to stop. Whatever happens to a
 * thread, a process or the machine, a pair is answered once: the store sees to that, and this only asks it.
 */
import { randomBytes } from 'node:crypto';
import { hostname } from 'node:os';
import { setTimeout as sleep } from 'node:timers/promises';
import { type PairFault, RENEW_MS, type SeriesCounts, type SeriesStore, type SeriesTask } from '#lib/record/series/types.ts';
import { makeThread, type Thread, type ThreadLimits } from '#workers/thread.ts';
import type { SeriesStart, SeriesWork } from './series-messages.ts';

const LOOK_MS = 250;
/** A thread that takes so long with one pair is ended; the pair is tried once more. */
const PAIR_TIMEOUT_MS = 15 * 60_000;
/** A pair that killed its thread, or met an error of the program, so often is not tried again. */
const MOST_TRIES = 2;

const DIED: PairFault = {
  code: 'thread-died',
  message:
    'The measuring thread ended before the measurement did, twice. Use fewer workers or smaller photographs, and run it again with --retry-failed.',
};
const TIMED_OUT: PairFault = {
  code: 'timed-out',
  message: `The measurement of this pair took longer than ${PAIR_TIMEOUT_MS / 60_000} minutes, twice. Use fewer workers or smaller photographs, and run it again with --retry-failed.`,
};
const OWN_ERROR: PairFault = {
  code: 'program-error',
  message:
    'The program met an error of its own with this pair, twice; the photographs may be good. Report it, with what EBBLINE_LOG=debug shows.',
};

export type RunOptions = Readonly<{
  start: SeriesStart;
  workers: number;
  /** True: ends when no pair waits or runs, here or elsewhere. False: waits for more. */
  untilDone: boolean;
  signal: AbortSignal;
  /** Called about once a second. */
  onCounts?: (counts: SeriesCounts) => void;
  /** For the log: no names of people or files. */
  log?: (event: string, details: Readonly<Record<string, unknown>>) => void;
  threadFile?: URL;
  limits?: ThreadLimits;
  countMs?: number;
}>;

/** Threads are replaced before memory fragments; the bound on the process grows with their number. */
export const seriesLimits = (workers: number): ThreadLimits => ({
  mostJobs: 200,
  mostBytes: 900_000_000 * Math.max(1, workers),
  heapMb: 1024,
});

export async function runSeries(store: SeriesStore, options: RunOptions): Promise<SeriesCounts> {
  const { start, workers, untilDone, signal, onCounts = () => undefined, log = () => undefined, countMs = 1000 } = options;
  const { threadFile = new URL('./series.thread.ts', import.meta.url), limits = seriesLimits(workers) } = options;
  const name = `${hostname()}-${process.pid}-${randomBytes(4).toString('hex')}`;
  const over = new AbortController();
  const stopped = AbortSignal.any([signal, over.signal]);
  const threads = Array.from({ length: workers }, () => makeThread<SeriesWork, SeriesStart>(threadFile, start, limits));
  const trouble = (error: unknown): void => log('trouble', { error: error instanceof Error ? error.stack : String(error) });

  const every = async (ms: number, work: () => Promise<void>): Promise<void> => {
    while (!stopped.aborted) {
      await work().catch(trouble);
      await sleep(ms, undefined, { signal: stopped }).catch(() => undefined);
    }
  };
  const tend = async (): Promise<void> => {
    await store.renew(name);
    const back = await store.reclaim();
    if (back > 0) log('reclaimed', { pairs: back });
  };
  const count = async (): Promise<void> => {
    const counts = await store.counts();
    onCounts(counts);
    if (untilDone && counts.waiting + counts.running === 0) over.abort();
  };
  const work = async (thread: Thread<SeriesWork>): Promise<void> => {
    while (!stopped.aborted) {
      const task = await store.claim(name).catch((error: unknown) => {
        trouble(error);
        return null;
      });
      if (task) await measure(store, name, thread, task, stopped, log).catch(trouble);
      else await sleep(LOOK_MS, undefined, { signal: stopped }).catch(() => undefined);
    }
  };

  const all = Promise.all([every(RENEW_MS, tend), every(countMs, count), ...threads.map(work)]);
  // A thread in the middle of a pair would go on for seconds; its pair is given back instead.
  stopped.addEventListener('abort', () => void Promise.all(threads.map((thread) => thread.end())), { once: true });
  await all;
  await Promise.all(threads.map((thread) => thread.end()));
  await store.release(name);
  const counts = await store.counts();
  onCounts(counts);
  return counts;
}

async function measure(
  store: SeriesStore,
  name: string,
  thread: Thread<SeriesWork>,
  task: SeriesTask,
  stopped: AbortSignal,
  log: NonNullable<RunOptions['log']>,
): Promise<void> {
  let late = false;
  const timer = setTimeout(() => {
    late = true;
    void thread.end();
  }, PAIR_TIMEOUT_MS);
  const ended = await thread.run({ id: task.id, task }).finally(() => clearTimeout(timer));
  if (ended.kind === 'finished' && ended.trouble === null) return;
  if (stopped.aborted) return; // `release` gives the pair back.
  const reason = ended.kind === 'died' ? ended.reason : ended.trouble;
  log(ended.kind === 'died' ? 'thread-died' : 'program-error', { pair: task.spec.slice(0, 12), attempt: task.attempt, late, reason });
  const fault = late ? TIMED_OUT : ended.kind === 'died' ? DIED : OWN_ERROR;
  if (task.attempt < MOST_TRIES) await store.giveUp(task, name, fault);
  else await store.finish(task, { state: 'failed', inputs: [], fault });
}
