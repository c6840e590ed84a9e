/** POST opens a complaint about two visits of a case. */
import { book } from '#app/_server/actor.ts';
import { noSuchAddress } from '#app/_server/answer.ts';
import { bodyOf, caseAnswer } from '#app/_server/case-answer.ts';
import { idsOf } from '#app/_server/case-context.ts';
import { complaintDraftSchema } from '#shared/case.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

export async function POST(request: Request, { params }: { params: Promise<{ id: string }> }): Promise<Response> {
  const ids = await idsOf(params, 'id');
  if (!ids) return noSuchAddress();
  const asked = await bodyOf(request, complaintDraftSchema);
  return asked.ok ? caseAnswer(await (await book()).openComplaint(ids.id, asked.value), 201) : asked.response;
}
