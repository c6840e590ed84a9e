/** GET tells how far a series is; POST asks for more work on it, or that it stops; DELETE takes it away with all that it made. */
import { z } from 'zod';
import { book } from '#app/_server/actor.ts';
import { answer, noSuchAddress, problem } from '#app/_server/answer.ts';
import { bodyOf } from '#app/_server/case-answer.ts';
import { idsOf } from '#app/_server/case-context.ts';
import { record } from '#app/_server/record.ts';
import { seriesNews } from '#app/_server/series-news.ts';
import type { SeriesRefusal } from '#lib/record/series-types.ts';
import type { Refusal } from '#shared/outcome.ts';
import { seriesTaskSchema } from '#shared/series-job.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

type Context = { params: Promise<{ id: string }> };

const askedSchema = z.union([seriesTaskSchema, z.object({ do: z.literal('stop') })]);

export async function GET(_request: Request, { params }: Context): Promise<Response> {
  const ids = await idsOf(params, 'id');
  const series = ids ? await record().series(ids.id) : null;
  return series ? answer(seriesNews(series)) : noSuchAddress();
}

export async function POST(request: Request, { params }: Context): Promise<Response> {
  const ids = await idsOf(params, 'id');
  if (!ids) return noSuchAddress();
  const asked = await bodyOf(request, askedSchema);
  if (!asked.ok) return asked.response;
  if (asked.value.do === 'stop') {
    if (!(await record().stopSeries(ids.id))) return noSuchAddress();
  } else {
    const taken = await record().askSeries(ids.id, asked.value);
    if (!taken.ok) return refusalAnswer(taken);
  }
  await (await book()).note({ action: 'change', what: 'series', id: ids.id, case: null, facts: { ...asked.value } });
  const series = await record().series(ids.id);
  return series ? answer(seriesNews(series), 202) : noSuchAddress();
}

export async function DELETE(_request: Request, { params }: Context): Promise<Response> {
  const ids = await idsOf(params, 'id');
  if (!ids) return noSuchAddress();
  const removed = await record().removeSeries(ids.id);
  if (!removed.ok) return refusalAnswer(removed);
  await (await book()).note({ action: 'delete', what: 'series', id: ids.id, case: null, facts: { ...removed.value } });
  return answer(removed.value);
}

const refusalAnswer = ({ why, detail }: Refusal<SeriesRefusal>): Response => problem(why === 'gone' ? 404 : 409, why, detail);
