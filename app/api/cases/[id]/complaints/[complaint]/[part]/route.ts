/** POST records the next part of a complaint: `hear`, `rate`, `reveal`, `conclude`, in this order; `add` at any time. */
import { z } from 'zod';
import { book } from '#app/_server/actor.ts';
import { noSuchAddress } from '#app/_server/answer.ts';
import { bodyOf, caseAnswer } from '#app/_server/case-answer.ts';
import { complaintOf } from '#app/_server/complaint-of.ts';
import { reveal } from '#app/_server/reveal.ts';
import { conclusionSchema, examinerPartSchema, patientPartSchema } from '#shared/case.ts';
import { sha256Schema } from '#shared/job.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

const revision = z.number().int().positive();
const hearSchema = z.object({ revision, part: patientPartSchema });
const rateSchema = z.object({ revision, part: examinerPartSchema });
const revealSchema = z.object({ revision, setUp: sha256Schema.optional() });
const concludeSchema = z.object({ revision, part: conclusionSchema });
const addSchema = z.object({ text: z.string().trim().min(1, 'Write something first').max(8000) });

type Context = { params: Promise<{ id: string; complaint: string; part: string }> };

export async function POST(request: Request, { params }: Context): Promise<Response> {
  const found = await complaintOf(params);
  if (!found) return noSuchAddress();
  const { id } = found.complaint;
  const cases = await book();
  switch ((await params).part) {
    case 'hear': {
      const asked = await bodyOf(request, hearSchema);
      return asked.ok ? caseAnswer(await cases.hear(id, asked.value.revision, asked.value.part)) : asked.response;
    }
    case 'rate': {
      const asked = await bodyOf(request, rateSchema);
      return asked.ok ? caseAnswer(await cases.rate(id, asked.value.revision, asked.value.part)) : asked.response;
    }
    case 'reveal': {
      const asked = await bodyOf(request, revealSchema);
      return asked.ok ? reveal(cases, found, asked.value) : asked.response;
    }
    case 'conclude': {
      const asked = await bodyOf(request, concludeSchema);
      return asked.ok ? caseAnswer(await cases.conclude(id, asked.value.revision, asked.value.part)) : asked.response;
    }
    case 'add': {
      const asked = await bodyOf(request, addSchema);
      return asked.ok ? caseAnswer(await cases.addToComplaint(id, asked.value.text)) : asked.response;
    }
    default:
      return noSuchAddress();
  }
}
