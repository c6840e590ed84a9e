/**
 * Tends the series of the record: one at a time, each in a process of its own. A series whose process dies is taken up again, and no
 * answered pair is lost or measured twice; see series/run-series.ts.
 */
import { fork } from 'node:child_process';
import { once } from 'node:events';
import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { SILENT_MS } from '#lib/record/open.ts';
import type { StoredSeries } from '#lib/record/series-types.ts';
import type { RecordStore } from '#lib/record/types.ts';
import { KEY_COMES, sendKey } from './key-from-parent.ts';

const LOOK_MS = 400;
const RECLAIM_MS = 3_000;
/** A process that has not ended by itself this long after it was told to is killed; its pairs wait out their lease. */
const GRACE_MS = 3_500;

export type SeriesJobsOptions = Readonly<{
  /** Says that it lives, as the job runner does. */
  runner: string;
  /** Works on a series until it is settled or `ending` aborts. Throws when it could not. */
  work: (series: StoredSeries, ending: AbortSignal) => Promise<void>;
  log?: (event: string, details: Readonly<Record<string, unknown>>) => void;
}>;

/** The record stays the caller's to close, after `stop`. */
export function runSeriesJobs(
  record: RecordStore,
  { runner, work, log = () => undefined }: SeriesJobsOptions,
): { stop: () => Promise<void> } {
  const ending = new AbortController();
  const trouble = (error: unknown): void => log('trouble', { error: error instanceof Error ? error.stack : String(error) });
  const doOne = async (series: StoredSeries): Promise<void> => {
    log('series-started', { series: series.id, task: series.task.do, attempt: series.attempts });
    try {
      await work(series, ending.signal);
    } catch (error) {
      trouble(error);
    }
    // Settled already, unless the program ends or the work could not be finished.
    await record.giveSeriesBack(series.id, runner, { untried: ending.signal.aborted });
    log('series-ended', { series: series.id });
  };
  const loop = (async () => {
    let reclaimedAt = Number.NEGATIVE_INFINITY;
    while (!ending.signal.aborted) {
      try {
        if (performance.now() - reclaimedAt > RECLAIM_MS) {
          reclaimedAt = performance.now();
          await record.reclaimSeries(SILENT_MS);
        }
        const series = await record.claimSeries(runner);
        if (series) await doOne(series);
      } catch (error) {
        trouble(error);
      }
      await sleep(LOOK_MS, undefined, { signal: ending.signal }).catch(() => undefined);
    }
  })();
  return {
    stop: async () => {
      ending.abort();
      await loop;
    },
  };
}

/** Work in a process of its own, for `runSeriesJobs`. */
export function inProcess(place: Readonly<{ dataDir: string; key: Uint8Array; runner: string }>): SeriesJobsOptions['work'] {
  return async (series, ending) => {
    const child = fork(
      fileURLToPath(new URL('./series/series-process.ts', import.meta.url)),
      ['--data', place.dataDir, '--series', series.id, '--runner', place.runner, KEY_COMES],
      { execArgv: [], stdio: ['ignore', 'ignore', 'inherit', 'ipc'] },
    );
    sendKey(child, place.key);
    const end = (): void => {
      child.kill('SIGTERM');
      setTimeout(() => child.kill('SIGKILL'), GRACE_MS).unref();
    };
    if (ending.aborted) end();
    else ending.addEventListener('abort', end, { once: true });
    const [code, signal] = (await once(child, 'exit')) as [number | null, string | null];
    ending.removeEventListener('abort', end);
    if (code !== 0 && !ending.aborted) throw new Error(`the process of a series ended with ${code ?? signal}`);
  };
}
