/** POST puts photographs that are on the shelf into the case's visits, all of them or none. */
import { z } from 'zod';
import { book } from '#app/_server/actor.ts';
import { noSuchAddress } from '#app/_server/answer.ts';
import { bodyOf, caseAnswer } from '#app/_server/case-answer.ts';
import { idsOf } from '#app/_server/case-context.ts';
import { visitPhotoSchema } from '#shared/case.ts';
import { daySchema } from '#shared/job.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

const MOST_DAYS = 500;
const MOST_OF_A_DAY = 500;
const photosSchema = z.object({
  days: z
    .array(
      z.object({
        on: daySchema,
        photos: z
          .array(visitPhotoSchema.omit({ chosen: true }))
          .min(1)
          .max(MOST_OF_A_DAY),
      }),
    )
    .min(1)
    .max(MOST_DAYS),
});

export async function POST(request: Request, { params }: { params: Promise<{ id: string }> }): Promise<Response> {
  const ids = await idsOf(params, 'id');
  if (!ids) return noSuchAddress();
  const asked = await bodyOf(request, photosSchema);
  if (!asked.ok) return asked.response;
  return caseAnswer(await (await book()).addPhotos(ids.id, asked.value.days), 201);
}
