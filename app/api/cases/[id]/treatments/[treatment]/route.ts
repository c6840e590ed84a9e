/** GET a treatment as it stands; POST an edit of it; DELETE it. Both changes hand back the revision they are based on. */
import { z } from 'zod';
import { book } from '#app/_server/actor.ts';
import { answer, noSuchAddress } from '#app/_server/answer.ts';
import { bodyOf, caseAnswer } from '#app/_server/case-answer.ts';
import { idsOf } from '#app/_server/case-context.ts';
import { type Treatment, treatmentDraftSchema } from '#shared/case.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

type Context = { params: Promise<{ id: string; treatment: string }> };
const revisionSchema = z.number().int().positive();
const editSchema = z.object({ revision: revisionSchema, draft: treatmentDraftSchema });
const removeSchema = z.object({ revision: revisionSchema });

/** Null unless the treatment is of that case. */
async function found({ params }: Context): Promise<Treatment | null> {
  const ids = await idsOf(params, 'id', 'treatment');
  const file = ids ? await (await book()).caseFile(ids.id) : null;
  return file?.treatments.find(({ id }) => id === ids?.treatment) ?? null;
}

export async function GET(_request: Request, context: Context): Promise<Response> {
  const treatment = await found(context);
  return treatment ? answer(treatment) : noSuchAddress();
}

export async function POST(request: Request, context: Context): Promise<Response> {
  const treatment = await found(context);
  if (!treatment) return noSuchAddress();
  const asked = await bodyOf(request, editSchema);
  if (!asked.ok) return asked.response;
  return caseAnswer(await (await book()).editTreatment(treatment.id, asked.value.revision, asked.value.draft));
}

export async function DELETE(request: Request, context: Context): Promise<Response> {
  const treatment = await found(context);
  if (!treatment) return noSuchAddress();
  const asked = await bodyOf(request, removeSchema);
  if (!asked.ok) return asked.response;
  return caseAnswer(await (await book()).deleteTreatment(treatment.id, asked.value.revision));
}
