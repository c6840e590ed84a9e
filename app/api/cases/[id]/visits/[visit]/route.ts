/** POST changes one visit: its own fields, its baseline, or one of its photographs. DELETE ?revision=N takes the visit away. */
import { z } from 'zod';
import { book } from '#app/_server/actor.ts';
import { noSuchAddress } from '#app/_server/answer.ts';
import { bodyOf, caseAnswer } from '#app/_server/case-answer.ts';
import { idsOf } from '#app/_server/case-context.ts';
import { visitDraftSchema } from '#shared/case.ts';
import { viewSchema } from '#shared/comparison.ts';
import { sha256Schema } from '#shared/job.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

type Context = { params: Promise<{ id: string; visit: string }> };
const revisionSchema = z.coerce.number().int().positive();
const changeSchema = z.discriminatedUnion('do', [
  z.object({ do: z.literal('edit'), revision: revisionSchema, draft: visitDraftSchema }),
  z.object({ do: z.literal('baseline') }),
  z.object({ do: z.literal('choose'), sha256: sha256Schema }),
  z.object({ do: z.literal('view'), sha256: sha256Schema, view: viewSchema }),
  z.object({ do: z.literal('remove'), sha256: sha256Schema }),
]);

export async function POST(request: Request, { params }: Context): Promise<Response> {
  const ids = await idsOf(params, 'id', 'visit');
  if (!ids || !(await belongs(ids))) return noSuchAddress();
  const asked = await bodyOf(request, changeSchema);
  if (!asked.ok) return asked.response;
  const cases = await book();
  const change = asked.value;
  switch (change.do) {
    case 'edit':
      return caseAnswer(await cases.editVisit(ids.visit, change.revision, change.draft));
    case 'baseline':
      return caseAnswer(await cases.setBaseline(ids.visit));
    case 'choose':
      return caseAnswer(await cases.choosePhoto(ids.visit, change.sha256));
    case 'view':
      return caseAnswer(await cases.setPhotoView(ids.visit, change.sha256, change.view));
    case 'remove':
      return caseAnswer(await cases.removePhotoFromVisit(ids.visit, change.sha256));
    default:
      return change satisfies never;
  }
}

export async function DELETE(request: Request, { params }: Context): Promise<Response> {
  const ids = await idsOf(params, 'id', 'visit');
  const revision = revisionSchema.safeParse(new URL(request.url).searchParams.get('revision'));
  if (!ids || !revision.success || !(await belongs(ids))) return noSuchAddress();
  const gone = await (await book()).deleteVisit(ids.visit, revision.data);
  return caseAnswer(gone.ok ? { ok: true, value: { removed: true } } : gone);
}

/** A visit is reached through its own case alone. */
async function belongs({ id, visit }: { id: string; visit: string }): Promise<boolean> {
  return ((await (await book()).caseFile(id))?.visits ?? []).some((one) => one.id === visit);
}
