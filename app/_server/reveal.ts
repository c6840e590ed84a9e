/**
 * Showing the measurement of a complaint: the newest finished comparison of its two visits, or one that is measured first. The book
 * refuses before the rating is recorded; until then nothing is looked up here either.
 */
import type { CaseBook } from '#lib/record/case-types.ts';
import type { CaseFile, Complaint } from '#shared/case.ts';
import { answer, problem } from './answer.ts';
import { caseAnswer } from './case-answer.ts';
import { record } from './record.ts';

/** The revealed complaint; or 202 with the job that has to end first. */
export async function reveal(
  cases: CaseBook,
  { file, complaint }: { file: CaseFile; complaint: Complaint },
  { revision, setUp }: { revision: number; setUp?: string | undefined },
): Promise<Response> {
  if (complaint.stage === 'opened' || complaint.stage === 'heard')
    return problem(409, 'out-of-order', 'The rating by eye comes before the measurement is shown.', 'Record it first.');
  const { beforeVisit, afterVisit } = complaint;
  // With a set-up the comparison has to be one that took its limits from it; the book finds that one, or enqueues it.
  const pair =
    setUp === undefined ? file.comparisons.filter((one) => one.beforeVisit === beforeVisit && one.afterVisit === afterVisit) : [];
  for (const { id } of pair.toReversed())
    if (await record().comparison(id)) return caseAnswer(await cases.reveal(complaint.id, revision, id));
  const made = await cases.compareVisits(file.patientCase.id, beforeVisit, afterVisit, setUp === undefined ? {} : { setUp });
  if (!made.ok) return caseAnswer(made);
  if (await record().comparison(made.value.id)) return caseAnswer(await cases.reveal(complaint.id, revision, made.value.id));
  return answer({ measuring: made.value.id }, 202);
}
