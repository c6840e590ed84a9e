/** DELETE asks a job to stop: a waiting one stops at once, a running one at its next step. */

import { answer, noSuchAddress } from '#app/_server/answer.ts';
import { jobNews } from '#app/_server/job-news.ts';
import { record } from '#app/_server/record.ts';
import { idSchema } from '#shared/job.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

export async function DELETE(_request: Request, { params }: { params: Promise<{ id: string }> }): Promise<Response> {
  const id = idSchema.safeParse((await params).id);
  if (!id.success || !(await record().cancel(id.data))) return noSuchAddress();
  return answer({ jobs: [await jobNews(id.data)] });
}
