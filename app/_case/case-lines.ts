/** What the page of a case says of its visits and comparisons: in words, and how each comparison stands now. On the server. */
import { knownComparison } from '#app/_server/comparison-cache.ts';
import { record } from '#app/_server/record.ts';
import { headline } from '#lib/report/headline.ts';
import { daysBetween } from '#lib/series/days-between.ts';
import type { CaseComparison, CaseFile, Visit } from '#shared/case.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';
import { WITHHELD_WORDS, withheldBy } from '#shared/withheld.ts';
import type { ResultLine } from './case-results.tsx';

/** Day 0 is the last dissolving treatment until then, or else the last of any; empty before all of them. */
export function dayWords(on: string, treatments: CaseFile['treatments']): string {
  const before = treatments.filter((treatment) => treatment.on <= on);
  const zero = before.filter(({ purpose }) => purpose === 'gel-dissolved').at(-1) ?? before.at(-1);
  return zero ? `day ${daysBetween(zero.on, on)}` : '';
}

/** "2026-03-17 (day 16)" */
export function visitWords(visit: Pick<Visit, 'on' | 'label' | 'baseline'>, treatments: CaseFile['treatments']): string {
  const parts = [...(visit.baseline ? ['baseline'] : []), dayWords(visit.on, treatments), visit.label].filter((part) => part !== '');
  return parts.length > 0 ? `${visit.on} (${parts.join(', ')})` : visit.on;
}

/** Latest visit first, and of one pair the newest first. Nothing is said of a comparison that an open complaint withholds. */
export async function resultLines({ comparisons, visits, treatments, complaints }: CaseFile): Promise<ResultLine[]> {
  const wordsOf = (id: string): string => {
    const visit = visits.find((one) => one.id === id);
    return visit ? visitWords(visit, treatments) : 'a visit that was removed';
  };
  const lineOf = async (comparison: CaseComparison): Promise<ResultLine> => {
    const { id, beforeVisit, afterVisit } = comparison;
    const base = { id, beforeVisit, afterVisit, words: `${wordsOf(beforeVisit)} to ${wordsOf(afterVisit)}` };
    if (withheldBy(comparison, complaints)) return { ...base, state: 'withheld', why: WITHHELD_WORDS };
    const done = await knownComparison(id);
    if (done) {
      const { versions, gate } = done.comparison;
      return {
        ...base,
        state: 'done',
        comparable: gate.comparable,
        beyond: done.beyondError > 0,
        headline: headline(done.comparison),
        madeBy: `Ebbline ${versions.ebbline}, ${versions.landmarkEngine}`,
        older: versions.ebbline !== EBBLINE_VERSION,
      };
    }
    const job = await record().job(id);
    if (job?.state === 'failed') return { ...base, state: 'failed', why: job.fault?.message ?? 'The measurement failed.' };
    if (!job || job.state === 'stopped') return { ...base, state: 'failed', why: 'The measurement was stopped.' };
    return { ...base, state: 'pending' };
  };
  const dayOf = ({ afterVisit }: CaseComparison): string => visits.find(({ id }) => id === afterVisit)?.on ?? '';
  const latestFirst = comparisons.toReversed().sort((a, b) => dayOf(b).localeCompare(dayOf(a)));
  return Promise.all(latestFirst.map(lineOf));
}
