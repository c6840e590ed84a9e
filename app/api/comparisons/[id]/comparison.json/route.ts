/** GET the whole Comparison (shared/comparison.ts) as a file. */

import { bytesAnswer, noSuchAddress } from '#app/_server/answer.ts';
import { noteComparison } from '#app/_server/note-comparison.ts';
import { record } from '#app/_server/record.ts';
import { withheldAnswer } from '#app/_server/withheld.ts';
import { idSchema } from '#shared/job.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

export async function GET(_request: Request, { params }: { params: Promise<{ id: string }> }): Promise<Response> {
  const id = idSchema.safeParse((await params).id);
  const hidden = id.success ? await withheldAnswer(id.data) : null;
  if (hidden) return hidden;
  const stored = id.success ? await record().comparison(id.data) : null;
  if (!stored) return noSuchAddress();
  await noteComparison('export', stored.id, { file: 'comparison.json' });
  const text = `${JSON.stringify(stored.comparison, null, 2)}\n`;
  return bytesAnswer(new TextEncoder().encode(text), {
    'Content-Type': 'application/json; charset=utf-8',
    'Content-Disposition': `attachment; filename="ebbline-${stored.id.slice(0, 8)}.json"`,
  });
}
