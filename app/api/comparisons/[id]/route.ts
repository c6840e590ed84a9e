/** DELETE removes a comparison, its pictures, and photographs that nothing else uses; not while a complaint or a report rests on it. */

import { book } from '#app/_server/actor.ts';
import { answer, noSuchAddress } from '#app/_server/answer.ts';
import { caseAnswer } from '#app/_server/case-answer.ts';
import { idSchema } from '#shared/job.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

export async function DELETE(_request: Request, { params }: { params: Promise<{ id: string }> }): Promise<Response> {
  const id = idSchema.safeParse((await params).id);
  if (!id.success) return noSuchAddress();
  const removed = await (await book()).deleteComparison(id.data);
  if (removed.ok) return answer({ removed: true });
  return removed.why === 'gone' ? noSuchAddress() : caseAnswer(removed);
}
