/** The complaint that a page or route of a case is about, with its case. */
import type { CaseFile, Complaint } from '#shared/case.ts';
import { book } from './actor.ts';
import { idsOf } from './case-context.ts';

/** Null unless the complaint is of that case. */
export async function complaintOf(
  params: Promise<{ id: string; complaint: string }>,
): Promise<{ file: CaseFile; complaint: Complaint } | null> {
  const ids = await idsOf(params, 'id', 'complaint');
  const file = ids ? await (await book()).caseFile(ids.id) : null;
  const complaint = file?.complaints.find(({ id }) => id === ids?.complaint);
  return file && complaint ? { file, complaint } : null;
}
