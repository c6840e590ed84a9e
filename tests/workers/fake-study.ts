/** A study whose "photographs" are words that tell the stand-in what to do, and the ways to run it. */
import { type ChildProcess, spawn } from 'node:child_process';
import { mkdir, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { SeriesStore } from '#lib/record/series/types.ts';
import type { SeriesPair } from '#shared/series.ts';
import { pairOf } from '#tests/series/sample-series.ts';
import { runSeries } from '#workers/series/run-series.ts';
import type { StorePlace } from '#workers/series/series-messages.ts';

/** Writes the photographs of each subject, the after photograph with the subject's words; returns the pairs. */
export async function layStudy(folder: string, subjects: Readonly<Record<string, string>>): Promise<SeriesPair[]> {
  for (const [subject, words] of Object.entries(subjects))
    for (const name of ['before', 'after']) {
      const path = join(folder, subject, `${name}.jpg`);
      await mkdir(dirname(path), { recursive: true });
      await writeFile(path, `${subject} ${name} ${name === 'after' ? words : ''}`);
    }
  return Object.keys(subjects).map(pairOf);
}

export const startWorker = (place: StorePlace, photographs: string, threads = 1): ChildProcess =>
  spawn(
    process.execPath,
    [fileURLToPath(new URL('./fake-series-worker.ts', import.meta.url)), JSON.stringify(place), photographs, String(threads)],
    {
      stdio: ['ignore', 'ignore', 'inherit'],
    },
  );

export const runHere = (store: SeriesStore, place: StorePlace, photographs: string, more: Partial<Parameters<typeof runSeries>[1]> = {}) =>
  runSeries(store, {
    start: { store: place, photographs, plates: null },
    workers: 2,
    untilDone: true,
    signal: new AbortController().signal,
    threadFile: new URL('./fake-series.thread.ts', import.meta.url),
    countMs: 50,
    ...more,
  });

/** Waits until `holds`, and throws after a minute. */
export async function until(holds: () => Promise<boolean>): Promise<void> {
  for (const begun = performance.now(); !(await holds()); await new Promise((resolve) => setTimeout(resolve, 50)))
    if (performance.now() - begun > 60_000) throw new Error('it did not come about within a minute');
}
