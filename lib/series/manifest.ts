/**
 * The manifest of a series: which photographs there are, and hence which pairs are measured. Every bad row is reported with its
 * place and reason; the good rows make the series.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import type { RatingRow, SeriesPair } from '#shared/series.ts';
import { pairsOf } from './manifest-pairs.ts';
import { type RatedRow, ratingsOf } from './manifest-ratings.ts';
import { readRow } from './manifest-row.ts';
import { type ManifestFormat, readManifestText, type TextFault } from './manifest-text.ts';
import { type ManifestFault, visitsOf } from './manifest-visits.ts';

export type Manifest = Readonly<{
  /** In the order of the manifest. */
  pairs: readonly SeriesPair[];
  ratings: readonly RatingRow[];
  /** By their place. */
  faults: readonly ManifestFault[];
  /** Rows of the manifest, and how many of them take part in a pair or are a baseline. */
  rows: number;
  goodRows: number;
}>;

/**
 * `has` says whether a photograph is there, by its name from the manifest's folder. Refuses a text that is no manifest at all, and
 * one of whose rows no pair is left, with what was wrong.
 */
export function readManifest(
  text: string,
  format: ManifestFormat,
  has: (file: string) => boolean,
): Outcome<Manifest, TextFault | 'no-pairs'> {
  const read = readManifestText(text, format);
  if (!read.ok) return read;
  const { columns, rows } = read.value;
  const faults: ManifestFault[] = [];
  const fit: RatedRow[] = [];
  for (const placed of rows) {
    const { line, raw, cells } = placed;
    if (format === 'csv' && cells !== columns.length) {
      faults.push({
        line,
        code: 'cell-count',
        message: `The row has ${cells} cells, the first row ${columns.length}. Quote cells that hold a comma.`,
      });
      continue;
    }
    const { row, wrong } = readRow(raw);
    if (row) fit.push({ ...placed, row });
    else faults.push(...wrong.map(({ message }): ManifestFault => ({ line, code: 'cell', message })));
  }
  const visits = visitsOf(fit, has);
  const { pairs, faults: pairFaults, unused } = pairsOf(visits.subjects);
  const dropped = new Set(unused.flatMap(({ lines }) => lines));
  const kept = fit.filter(({ line }) => visits.kept.has(line) && !dropped.has(line));
  const rated = ratingsOf(columns, kept, pairs);
  faults.push(...visits.faults, ...pairFaults, ...rated.faults);
  faults.sort((a, b) => a.line - b.line);
  if (pairs.length === 0)
    return refused(
      'no-pairs',
      ['The manifest leaves no pair to measure.', ...faults.slice(0, SHOWN).map(faultLine), ...more(faults)].join('\n'),
    );
  return found({ pairs, ratings: rated.ratings, faults, rows: rows.length, goodRows: kept.length });
}

const SHOWN = 20;
const more = (faults: readonly ManifestFault[]): string[] => (faults.length > SHOWN ? [`and ${faults.length - SHOWN} more`] : []);

export const faultLine = ({ line, message }: ManifestFault): string => `row ${line}: ${message}`;
