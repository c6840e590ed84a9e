/** POST a request for work (shared/job.ts) and get its id; GET ?ids=a,b,c tells how far those are. */

import { answer, problem } from '#app/_server/answer.ts';
import { jobNews } from '#app/_server/job-news.ts';
import { record } from '#app/_server/record.ts';
import { watchedIds } from '#app/_server/watched-ids.ts';
import { type JobRequest, jobRequestSchema } from '#shared/job.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

export async function POST(request: Request): Promise<Response> {
  const asked = jobRequestSchema.safeParse(await request.json().catch(() => null));
  if (!asked.success) {
    const first = asked.error.issues[0];
    return problem(
      400,
      'not-understood',
      `The request was not understood: ${first?.path.join('.') || 'its form'} is not as it should be.`,
      'Reload the page and try again.',
    );
  }
  for (const photo of photosOf(asked.data))
    if (!(await record().photo(photo.sha256)))
      return problem(409, 'no-photo', `${photo.name} is no longer on the shelf.`, 'Remove it from the tray and add the file again.');

  const setUp = asked.data.kind === 'compare' ? asked.data.options.setUp : undefined;
  if (setUp !== undefined && !(await record().setUp(setUp)))
    return problem(409, 'no-set-up', 'The chosen set-up is no longer kept.', 'Reload the page and choose another one.');

  const again = new URL(request.url).searchParams.get('again') === '1';
  return answer({ id: await record().enqueue(unmarked(asked.data), { again }) }, 202);
}

export async function GET(request: Request): Promise<Response> {
  const ids = watchedIds(request.url);
  if (!ids) return problem(400, 'not-understood', 'The list of jobs was not understood.', 'Reload the page.');
  return answer({ jobs: (await Promise.all(ids.map(jobNews))).filter((news) => news !== null) });
}

const photosOf = (asked: JobRequest) => (asked.kind === 'check' ? [asked.photo] : [...asked.before, ...asked.after]);

/** Only the program itself marks its demo case. */
function unmarked(asked: JobRequest): JobRequest {
  if (asked.kind === 'check') return asked;
  const { demo: _, ...rest } = asked;
  return rest;
}
