/** GET the practice's settings as they stand; POST an edit, which hands back the revision it is based on. */
import { z } from 'zod';
import { book } from '#app/_server/actor.ts';
import { answer } from '#app/_server/answer.ts';
import { bodyOf, caseAnswer } from '#app/_server/case-answer.ts';
import { practiceSettingsSchema } from '#shared/practice.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

const editSchema = z.object({ revision: z.number().int().nonnegative(), settings: practiceSettingsSchema.omit({ revision: true }) });

export async function GET(): Promise<Response> {
  return answer(await (await book()).settings());
}

export async function POST(request: Request): Promise<Response> {
  const asked = await bodyOf(request, editSchema);
  return asked.ok ? caseAnswer(await (await book()).editSettings(asked.value.revision, asked.value.settings)) : asked.response;
}
