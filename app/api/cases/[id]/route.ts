/** GET the case's own fields and its visits; POST an edit; DELETE erases the case with its photographs and results. */
import { z } from 'zod';
import { book } from '#app/_server/actor.ts';
import { answer, noSuchAddress } from '#app/_server/answer.ts';
import { bodyOf, caseAnswer } from '#app/_server/case-answer.ts';
import { idsOf } from '#app/_server/case-context.ts';
import { caseDraftSchema } from '#shared/case.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

type Context = { params: Promise<{ id: string }> };
const editSchema = z.object({ revision: z.number().int().positive(), draft: caseDraftSchema });

export async function GET(_request: Request, { params }: Context): Promise<Response> {
  const ids = await idsOf(params, 'id');
  const file = ids ? await (await book()).caseFile(ids.id) : null;
  return file ? answer({ patientCase: file.patientCase, visits: file.visits }) : noSuchAddress();
}

export async function POST(request: Request, { params }: Context): Promise<Response> {
  const ids = await idsOf(params, 'id');
  if (!ids) return noSuchAddress();
  const asked = await bodyOf(request, editSchema);
  if (!asked.ok) return asked.response;
  return caseAnswer(await (await book()).editCase(ids.id, asked.value.revision, asked.value.draft));
}

export async function DELETE(_request: Request, { params }: Context): Promise<Response> {
  const ids = await idsOf(params, 'id');
  return ids ? caseAnswer(await (await book()).deleteCase(ids.id)) : noSuchAddress();
}
