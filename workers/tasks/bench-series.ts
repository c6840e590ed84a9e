/**
 * The benchmark of series: pairs a minute with one and two workers, memory of a worker, and the queue's own cost as the series grows.
 * Hooked into `npm run bench`; EBBLINE_QUEUE with the address of a PostgreSQL database measures that queue as well.
 */
import { join } from 'node:path';
import type { QueueFigures } from './bench-series-queue.ts';
import type { SeriesRun } from './bench-series-run.ts';

export type SeriesFigures = Readonly<{ one: SeriesRun; two: SeriesRun; queue: QueueFigures }>;

const PAIRS = { one: 7, two: 14 };
/** What the project asks of itself. */
const GOAL = { growth: 1.8, memoryMb: 900, flat: 1.5 };

type Measure = <T>(script: string, words: readonly string[]) => T;

/** `files` are the two photographs of the bench; `folder` is for its own use. */
export function measureSeries(measure: Measure, files: readonly string[], folder: string): SeriesFigures {
  const run = (count: number, workers: number): SeriesRun =>
    measure('bench-series-run.ts', [join(folder, `series-${workers}`), ...files, String(count), String(workers)]);
  const [one, two] = [run(PAIRS.one, 1), run(PAIRS.two, 2)];
  const url = process.env.EBBLINE_QUEUE;
  const queue = measure<QueueFigures>('bench-series-queue.ts', [folder, join(folder, 'series-1', 'series.sqlite'), ...(url ? [url] : [])]);
  return { one, two, queue };
}

export function seriesSection({ one, two, queue }: SeriesFigures): string {
  const met = (yes: boolean): string => (yes ? 'met' : 'not met');
  const growth = two.perMinute / one.perMinute;
  const perWorker = Math.max(one.peakMb, two.peakMb - one.peakMb);
  const kib = (bytes: number | null): string => (bytes === null ? '-' : `${(bytes / 1024).toFixed(1)} KiB`);
  const answers = queue.costs.filter(({ store }) => store === 'SQLite').map(({ answerMs }) => answerMs);
  const flat = Math.max(...answers) / Math.min(...answers);
  return `
## Series

The same pair under other names, so that each is measured; ${one.pairs} pairs with one worker, ${two.pairs} with two. The queue's own cost is that of a pair that
is asked for, claimed, answered with a real comparison (${kib(queue.packedBytes)} compressed) and written into all tables, with nothing measured.

| what | figure |
| --- | --- |
| pairs a minute, one worker | ${one.perMinute.toFixed(1)} |
| pairs a minute, two workers | ${two.perMinute.toFixed(1)} |
| growth from one to two workers | ${growth.toFixed(2)} times (goal ${GOAL.growth}: ${met(growth >= GOAL.growth)}) |
| memory of a worker | ${perWorker.toFixed(0)} MB (goal ${GOAL.memoryMb}: ${met(perWorker < GOAL.memoryMb)}); the process ${one.peakMb.toFixed(0)} MB with one, ${two.peakMb.toFixed(0)} MB with two |
| dearest answer over cheapest, ${queue.costs[0]!.pairs} to ${queue.costs.at(-1)!.pairs} pairs | ${flat.toFixed(2)} times (goal ${GOAL.flat}: ${met(flat <= GOAL.flat)}) |

| queue | pairs | asked for | claimed and answered | written | store | tables |
| --- | --- | --- | --- | --- | --- | --- |
${queue.costs
  .map(
    ({ store, pairs, beginMs, answerMs, tablesMs, storeBytes, tablesBytes }) =>
      `| ${store} | ${pairs} | ${beginMs.toFixed(3)} ms | ${answerMs.toFixed(2)} ms | ${tablesMs.toFixed(2)} ms | ${kib(storeBytes)} | ${kib(tablesBytes)} |`,
  )
  .join('\n')}
`;
}
