/**
 * POST opens one pair of a series in the comparison view: its photographs go onto the sealed shelf, and an ordinary comparison is asked
 * for with what the series asks. Answers with the comparison's id, the same one when it was opened before.
 */
import { z } from 'zod';
import { book } from '#app/_server/actor.ts';
import { answer, noSuchAddress, problem } from '#app/_server/answer.ts';
import { bodyOf } from '#app/_server/case-answer.ts';
import { idsOf } from '#app/_server/case-context.ts';
import { compareSeriesPair } from '#app/_server/series-pair.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

const askedSchema = z.object({ pair: z.string().min(1).max(300) });

export async function POST(request: Request, { params }: { params: Promise<{ id: string }> }): Promise<Response> {
  const ids = await idsOf(params, 'id');
  if (!ids) return noSuchAddress();
  const asked = await bodyOf(request, askedSchema);
  if (!asked.ok) return asked.response;
  const opened = await compareSeriesPair(ids.id, asked.value.pair);
  if (!opened.ok) return opened.why === 'gone' ? noSuchAddress() : problem(409, opened.why, opened.detail);
  await (await book()).note({ action: 'view', what: 'series', id: ids.id, case: null, facts: { comparison: opened.value } });
  return answer({ comparison: opened.value }, 202);
}
