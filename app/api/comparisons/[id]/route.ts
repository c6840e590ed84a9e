/** DELETE removes a comparison, its pictures, and photographs that nothing else uses. */

import { answer, noSuchAddress } from '#app/_server/answer.ts';
import { record } from '#app/_server/record.ts';
import { idSchema } from '#shared/job.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

export async function DELETE(_request: Request, { params }: { params: Promise<{ id: string }> }): Promise<Response> {
  const id = idSchema.safeParse((await params).id);
  if (!id.success || !(await record().removeComparison(id.data))) return noSuchAddress();
  return answer({ removed: true });
}
