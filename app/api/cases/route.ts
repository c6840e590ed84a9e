/** POST makes a new case, with the consents given at once. */
import { z } from 'zod';
import { book } from '#app/_server/actor.ts';
import { answer } from '#app/_server/answer.ts';
import { bodyOf, caseAnswer } from '#app/_server/case-answer.ts';
import { caseDraftSchema, consentDraftSchema } from '#shared/case.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

const newCaseSchema = z.object({ draft: caseDraftSchema, consents: z.array(consentDraftSchema).max(2) });

export async function POST(request: Request): Promise<Response> {
  const asked = await bodyOf(request, newCaseSchema);
  if (!asked.ok) return asked.response;
  const cases = await book();
  const made = await cases.addCase(asked.value.draft);
  if (!made.ok) return caseAnswer(made);
  for (const consent of asked.value.consents) {
    const given = await cases.addConsent(made.value.id, consent);
    if (!given.ok) return caseAnswer(given);
  }
  return answer({ id: made.value.id }, 201);
}
