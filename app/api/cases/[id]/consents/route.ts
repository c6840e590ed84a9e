/** POST records a consent, or its withdrawal. */
import { z } from 'zod';
import { book } from '#app/_server/actor.ts';
import { noSuchAddress } from '#app/_server/answer.ts';
import { bodyOf, caseAnswer } from '#app/_server/case-answer.ts';
import { idsOf } from '#app/_server/case-context.ts';
import { consentDraftSchema } from '#shared/case.ts';
import { daySchema, idSchema } from '#shared/job.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

const changeSchema = z.union([
  z.object({ give: consentDraftSchema }),
  z.object({ withdraw: z.object({ consent: idSchema, on: daySchema }) }),
]);

export async function POST(request: Request, { params }: { params: Promise<{ id: string }> }): Promise<Response> {
  const ids = await idsOf(params, 'id');
  if (!ids) return noSuchAddress();
  const asked = await bodyOf(request, changeSchema);
  if (!asked.ok) return asked.response;
  const cases = await book();
  if ('give' in asked.value) return caseAnswer(await cases.addConsent(ids.id, asked.value.give), 201);
  const { consent, on } = asked.value.withdraw;
  return caseAnswer(await cases.withdrawConsent(ids.id, consent, on));
}
