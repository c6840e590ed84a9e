/** POST signs the newest draft with a name that was typed, and locks it; refused when the record no longer says what the draft says. */
import { z } from 'zod';
import { book } from '#app/_server/actor.ts';
import { noSuchAddress } from '#app/_server/answer.ts';
import { bodyOf, caseAnswer } from '#app/_server/case-answer.ts';
import { signDraft } from '#app/_server/case-report.ts';
import { reportOf } from '#app/_server/report-of.ts';
import { unsealed } from '#app/_server/unsealed.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

const signatureSchema = z.object({
  by: z.string().trim().min(1, 'Type your name to sign').max(120),
  /** That the draft was read. */
  read: z.literal(true, 'Say that you have read the draft'),
});

export async function POST(request: Request, { params }: { params: Promise<{ id: string; report: string }> }): Promise<Response> {
  const signature = await bodyOf(request, signatureSchema);
  if (!signature.ok) return signature.response;
  const known = await reportOf(params);
  if (!known) return noSuchAddress();
  return unsealed(async () =>
    caseAnswer(await signDraft(await book(), known.file, known.report, signature.value.by, new Date().toISOString())),
  );
}
