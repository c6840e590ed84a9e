/**
 * A series without anything that leads back to a person: no path, no file name, no camera, no day, no sentence, no label of the
 * clinic's own. Subjects, visits, groups and raters go by keyed codes; days become days since the baseline; hashes of photographs are
 * keyed as well, so that whoever holds a photograph cannot look it up.
 *
 * The codes of a key are always the same, so two exports can be joined by whoever keeps it, and by nobody else.
 */

import type { PairRow, RatingRow, TidyRow } from '#shared/series.ts';
import type { FailureRow } from './failure-rows.ts';

/** Hexadecimal; a hash of the words under the secret key. */
export type Keyed = (kind: string, words: string) => string;

export type Deidentifier = Readonly<{
  tidy: (row: TidyRow) => TidyRow;
  pair: (row: PairRow) => PairRow;
  rating: (row: RatingRow) => RatingRow;
  failure: (row: FailureRow) => FailureRow;
  /** Where a code must come before another: the order of the pairs by their codes. */
  pairCode: (pair: string) => string;
}>;

/** 48 bits: among a million subjects two share a code with a chance of 0.2 %.. */
const CODE_DIGITS = 12;

/** `keepGroups` leaves the groups' own names, which a study's arms need and which name nobody. */
export function deidentifier(keyed: Keyed, { keepGroups = false } = {}): Deidentifier {
  const known = new Map<string, string>();
  const code = (kind: string, words: string): string => {
    const name = `${kind} ${words}`;
    const made = known.get(name) ?? `${kind}-${keyed(kind, words).slice(0, CODE_DIGITS)}`;
    known.set(name, made);
    return made;
  };
  const subject = (words: string): string => code('S', words);
  const visit = (who: string, words: string): string => code('V', `${who}/${words}`);
  const group = (words: string | null): string | null => (words === null || keepGroups ? words : code('G', words));
  const pairCode = (pair: string): string => {
    const [who, before, after] = pair.split('/') as [string, string, string];
    return `${subject(who)}/${visit(who, before)}/${visit(who, after)}`;
  };
  const hash = (words: string | null): string | null => (words === null ? null : keyed('H', words));
  const places = (row: Pick<TidyRow, 'pair' | 'subject' | 'group' | 'beforeVisit' | 'afterVisit'>) => ({
    pair: pairCode(row.pair),
    subject: subject(row.subject),
    group: group(row.group),
    beforeVisit: visit(row.subject, row.beforeVisit),
    afterVisit: visit(row.subject, row.afterVisit),
  });
  return {
    pairCode,
    tidy: (row) => ({ ...row, ...places(row) }),
    pair: (row) => ({
      ...row,
      ...places(row),
      beforeSha256: row.beforeSha256.map((one) => keyed('H', one)),
      afterSha256: row.afterSha256.map((one) => keyed('H', one)),
      comparisonSha256: hash(row.comparisonSha256),
      // The parameters name the set-up, so their plain hash could be guessed.
      parametersSha256: hash(row.parametersSha256),
    }),
    rating: (row) => ({ ...row, pair: pairCode(row.pair), rater: code('R', row.rater) }),
    failure: (row) => ({ ...row, pair: row.pair === null ? null : pairCode(row.pair), message: '', advice: '' }),
  };
}
