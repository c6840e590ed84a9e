/** Whether a comparison has to stay hidden now, because a complaint about its photographs is being heard or rated. */
import type { Complaint } from '#shared/case.ts';
import { WITHHELD_WORDS, withheldBy } from '#shared/withheld.ts';
import { book } from './actor.ts';
import { problem } from './answer.ts';

/** The complaint and its case, or null when the comparison may be shown. */
export async function withheld(comparison: string): Promise<{ caseId: string; complaint: Complaint } | null> {
  const cases = await book();
  const known = await cases.caseComparison(comparison);
  const file = known ? await cases.caseFile(known.case) : null;
  const complaint = known && file ? withheldBy(known, file.complaints) : null;
  return known && complaint ? { caseId: known.case, complaint } : null;
}

/** The answer of a route that would hand out something of the comparison; null when it may. */
export const withheldAnswer = async (comparison: string): Promise<Response | null> =>
  (await withheld(comparison)) ? problem(409, 'withheld', WITHHELD_WORDS, 'Record the rating and show the measurement there.') : null;
