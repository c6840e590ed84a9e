/** States, reasons and progress of a series in words. */
import { duration } from '#lib/series/duration.ts';
import type { Finding } from '#shared/comparison.ts';
import { answeredOf, type SeriesNews } from '#shared/series-job.ts';

const STATE_WORDS: Readonly<Record<SeriesNews['state'], string>> = {
  waiting: 'waiting for its turn',
  running: 'being worked on',
  done: 'done',
  failed: 'could not go on',
  stopped: 'stopped',
};

/** "done", and of an export that it was one. */
export const stateWords = ({ state }: Pick<SeriesNews, 'state'>): string => STATE_WORDS[state];

export const isResting = ({ state }: Pick<SeriesNews, 'state'>): boolean => state !== 'waiting' && state !== 'running';

export const PAIR_STATE_WORDS = {
  measured: 'measured',
  'not-comparable': 'not comparable',
  failed: 'failed',
  running: 'being measured',
  waiting: 'waiting',
} as const;

export const FINDING_WORDS: Readonly<Record<Finding, string>> = {
  'beyond-error': 'beyond error',
  'within-error': 'within error',
  'not-assessable': 'not assessable',
};

/** "12 of 40 pairs, 8.1 a minute, about 4 min left"; empty before anything is known. */
export function progressWords({ progress, state }: Pick<SeriesNews, 'progress' | 'state'>): string {
  if (!progress?.counts) return '';
  const { done, all } = answeredOf(progress.counts);
  const rate = state === 'running' ? (progress.perMinute ?? 0) : 0;
  return [
    `${done} of ${all} pairs answered`,
    ...(rate > 0 ? [`${rate.toPrecision(2)} a minute`, ...(all > done ? [`about ${duration((all - done) / rate)} left`] : [])] : []),
  ].join(', ');
}
