/** POST compares two visits, or every later visit that has not been compared with the baseline; answers with the jobs' ids. */
import { z } from 'zod';
import { book } from '#app/_server/actor.ts';
import { answer, noSuchAddress, problem } from '#app/_server/answer.ts';
import { bodyOf, caseAnswer } from '#app/_server/case-answer.ts';
import { idsOf } from '#app/_server/case-context.ts';
import { idSchema, sha256Schema } from '#shared/job.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

const askedSchema = z.union([
  z.object({ before: idSchema, after: idSchema, again: z.boolean().optional(), setUp: sha256Schema.optional() }),
  z.object({ missing: z.literal(true), setUp: sha256Schema.optional() }),
]);

export async function POST(request: Request, { params }: { params: Promise<{ id: string }> }): Promise<Response> {
  const ids = await idsOf(params, 'id');
  if (!ids) return noSuchAddress();
  const asked = await bodyOf(request, askedSchema);
  if (!asked.ok) return asked.response;
  const cases = await book();
  const how = asked.value.setUp === undefined ? {} : { setUp: asked.value.setUp };
  if ('before' in asked.value) {
    const { before, after, again } = asked.value;
    const made = await cases.compareVisits(ids.id, before, after, { ...how, again: again === true });
    return made.ok ? answer({ ids: [made.value.id], refused: [] }, 202) : caseAnswer(made);
  }

  const file = await cases.caseFile(ids.id);
  if (!file) return noSuchAddress();
  const baseline = file.visits.find((visit) => visit.baseline);
  if (!baseline) return problem(409, 'unfit', 'No visit is the baseline.', 'Make the visit before the treatment the baseline first.');
  const made: string[] = [];
  const refused: string[] = [];
  for (const visit of file.visits) {
    if (visit.id === baseline.id || visit.on < baseline.on) continue;
    if (file.comparisons.some(({ beforeVisit, afterVisit }) => beforeVisit === baseline.id && afterVisit === visit.id)) continue;
    const one = await cases.compareVisits(ids.id, baseline.id, visit.id, how);
    if (one.ok) made.push(one.value.id);
    else refused.push(`${visit.on}: ${one.detail}`);
  }
  return answer({ ids: made, refused }, 202);
}
