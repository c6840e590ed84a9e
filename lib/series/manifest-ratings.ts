/** What raters said, from the columns `rater:NAME` and `rater:NAME:ZONE` on the rows of follow-ups. */
import { zoneIdSchema } from '#shared/comparison.ts';
import { labelSchema, type RatingRow, ratingRowSchema, type SeriesPair } from '#shared/series.ts';
import type { ManifestRow } from './manifest-row.ts';
import { raterColumn } from './manifest-row.ts';
import type { PlacedRow } from './manifest-text.ts';
import type { ManifestFault } from './manifest-visits.ts';

export type RatedRow = PlacedRow & Readonly<{ row: ManifestRow }>;

/** A grade that does not fit is reported and left out; its photograph still counts. */
export function ratingsOf(
  columns: readonly string[],
  rows: readonly RatedRow[],
  pairs: readonly SeriesPair[],
): Readonly<{ ratings: readonly RatingRow[]; faults: readonly ManifestFault[] }> {
  const raters = columns.flatMap((column) => {
    const named = raterColumn(column);
    return named ? [{ column, ...named }] : [];
  });
  const pairOf = new Map(pairs.filter(({ kind }) => kind === 'change').map((pair) => [`${pair.subject}/${pair.afterVisit}`, pair.pair]));
  const grades = new Map<string, RatingRow>();
  const faults: ManifestFault[] = [];
  for (const { line, raw, row } of rows)
    for (const { column, rater, zone } of raters) {
      const cell = raw[column];
      if (cell === undefined || cell === null || (typeof cell === 'string' && cell.trim() === '')) continue;
      const say = (code: ManifestFault['code'], message: string): void => void faults.push({ line, code, message });
      if (row.role !== 'follow-up') {
        say('grade-place', `"${column}" stands on a ${row.role}. Grades belong on the row of a follow-up; this one is left out.`);
        continue;
      }
      const pair = pairOf.get(`${row.subject}/${row.visit}`);
      if (pair === undefined) continue; // the visit was reported already
      const rating = ratingRowSchema.safeParse({ pair, rater, zone, grade: typeof cell === 'string' ? Number(cell) : cell });
      if (!rating.success) {
        say('grade', wrongGrade(column, rater, zone, cell));
        continue;
      }
      const key = JSON.stringify([pair, rater, zone]);
      const former = grades.get(key);
      if (former && former.grade !== rating.data.grade)
        say(
          'grade-disagrees',
          `"${column}" is ${former.grade} on another row of this visit and ${rating.data.grade} here. The first counts.`,
        );
      else grades.set(key, rating.data);
    }
  return { ratings: [...grades.values()], faults };
}

function wrongGrade(column: string, rater: string, zone: string | null, cell: unknown): string {
  if (zone !== null && !zoneIdSchema.safeParse(zone).success) return `The column "${column}" names a zone "${zone}" that does not exist.`;
  if (!labelSchema.safeParse(rater).success) return `The column "${column}" names no rater. Write rater:NAME or rater:NAME:ZONE.`;
  return `"${column}" is ${JSON.stringify(cell)}. A grade is a whole number from -4, much worse, over 0, no change, to 4, much better.`;
}
