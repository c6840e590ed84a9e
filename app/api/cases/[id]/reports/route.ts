/** POST makes the draft of a report about a comparison or a complaint of this case, in place of an older draft of the same. */
import { z } from 'zod';
import { book } from '#app/_server/actor.ts';
import { noSuchAddress } from '#app/_server/answer.ts';
import { bodyOf, caseAnswer } from '#app/_server/case-answer.ts';
import { idsOf } from '#app/_server/case-context.ts';
import { makeDraft } from '#app/_server/case-report.ts';
import { unsealed } from '#app/_server/unsealed.ts';
import { REPORT_KINDS } from '#shared/case.ts';
import { idSchema } from '#shared/job.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

const askedSchema = z.object({ kind: z.enum(REPORT_KINDS), about: idSchema, withName: z.boolean() });

export async function POST(request: Request, { params }: { params: Promise<{ id: string }> }): Promise<Response> {
  const ids = await idsOf(params, 'id');
  if (!ids) return noSuchAddress();
  const asked = await bodyOf(request, askedSchema);
  if (!asked.ok) return asked.response;
  const cases = await book();
  const file = await cases.caseFile(ids.id);
  if (!file) return noSuchAddress();
  return unsealed(async () => caseAnswer(await makeDraft(cases, file, asked.value), 201));
}
