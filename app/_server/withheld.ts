/** Whether a comparison has to stay hidden now, because a complaint about its photographs is being heard or rated. */
import type { CaseFile, Complaint } from '#shared/case.ts';
import { WITHHELD_WORDS, withheldBy } from '#shared/withheld.ts';
import { book } from './actor.ts';
import { problem } from './answer.ts';

export type Withheld = Readonly<{ caseId: string; complaint: Complaint }>;

/** Those of the comparisons that may not be shown, each with its complaint. A case is read once, however many are of it. */
export async function withheldAmong(comparisons: readonly string[]): Promise<ReadonlyMap<string, Withheld>> {
  const cases = await book();
  const files = new Map<string, CaseFile | null>();
  const hidden = new Map<string, Withheld>();
  for (const id of comparisons) {
    const known = await cases.caseComparison(id);
    if (!known) continue;
    if (!files.has(known.case)) files.set(known.case, await cases.caseFile(known.case));
    const complaint = withheldBy(known, files.get(known.case)?.complaints ?? []);
    if (complaint) hidden.set(id, { caseId: known.case, complaint });
  }
  return hidden;
}

/** The answer of a route that would hand out something of the comparison; null when it may. */
export const withheldAnswer = async (comparison: string): Promise<Response | null> =>
  (await withheldAmong([comparison])).size > 0
    ? problem(409, 'withheld', WITHHELD_WORDS, 'Record the rating, and show the measurement there.')
    : null;
