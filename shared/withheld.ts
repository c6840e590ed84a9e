/**
 * What has to stay hidden while a complaint is heard and rated: every comparison in which the photographs it is about take part, and
 * whatever is drawn from one. From the reveal on nothing is withheld.
 */
import type { CaseComparison, Complaint } from './case.ts';

type Open = Pick<Complaint, 'id' | 'afterVisit' | 'revealed' | 'stage'>;

/** The complaint because of which a comparison is withheld, or null. */
export function withheldBy<T extends Open>(
  comparison: Pick<CaseComparison, 'beforeVisit' | 'afterVisit'>,
  complaints: readonly T[],
): T | null {
  return (
    complaints.find(
      ({ revealed, afterVisit }) => revealed === null && (comparison.afterVisit === afterVisit || comparison.beforeVisit === afterVisit),
    ) ?? null
  );
}

/** A case's comparisons that may be shown now. */
export const shownComparisons = <T extends Pick<CaseComparison, 'beforeVisit' | 'afterVisit'>>(
  comparisons: readonly T[],
  complaints: readonly Open[],
): T[] => comparisons.filter((comparison) => withheldBy(comparison, complaints) === null);

export const WITHHELD_WORDS =
  'A complaint about these photographs is being heard. The measurement stays hidden until the examiner has rated them, so that the rating is the examiner\u2019s own.';
