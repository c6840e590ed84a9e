/** What a manifest asks for, in a line. */
import type { Manifest } from './manifest.ts';

/** "12 pairs of 10 subjects (2 of them repeats), from 40 of 41 rows". */
export function manifestWords({ pairs, rows, goodRows, ratings }: Manifest): string {
  const subjects = new Set(pairs.map(({ subject }) => subject)).size;
  const repeats = pairs.filter(({ kind }) => kind === 'repeat').length;
  const many = (n: number, word: string): string => `${n} ${word}${n === 1 ? '' : 's'}`;
  return (
    `${many(pairs.length, 'pair')} of ${many(subjects, 'subject')}${repeats > 0 ? ` (${repeats} of them repeats)` : ''}, ` +
    `from ${goodRows === rows ? many(rows, 'row') : `${goodRows} of ${rows} rows`}${ratings.length > 0 ? `, ${many(ratings.length, 'grade')}` : ''}`
  );
}
