/** GET the report of one comparison as a PDF, made on the spot and unsigned: a draft of no version, since there is no case behind it. */

import { book } from '#app/_server/actor.ts';
import { bytesAnswer, noSuchAddress } from '#app/_server/answer.ts';
import { noteComparison } from '#app/_server/note-comparison.ts';
import { record } from '#app/_server/record.ts';
import { reportEvidence, reportViews } from '#app/_server/report-pictures.ts';
import { unsealed } from '#app/_server/unsealed.ts';
import { withheldAnswer } from '#app/_server/withheld.ts';
import { writePdf } from '#lib/report/pdf/write-pdf.ts';
import { comparisonReport } from '#lib/report/print/comparison-report.ts';
import { contentSha256 } from '#lib/report/print/stamp.ts';
import { idSchema } from '#shared/job.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

export async function GET(request: Request, { params }: { params: Promise<{ id: string }> }): Promise<Response> {
  const id = idSchema.safeParse((await params).id);
  const stored = id.success ? await record().comparison(id.data) : null;
  if (!stored) return noSuchAddress();
  const withheld = await withheldAnswer(stored.id);
  if (withheld) return withheld;
  return unsealed(async () => {
    const { practiceName } = await (await book()).settings();
    const { comparison, title, createdAt } = stored;
    const content = {
      comparison,
      subject: { title },
      evidence: await reportEvidence(stored.id),
      views: await reportViews(stored.id, comparison),
    };
    const stamp = { version: null, signed: null, replaces: null, contentSha256: contentSha256(content), asOf: createdAt, practiceName };
    const { bytes } = await writePdf(comparisonReport(content, stamp));
    const save = new URL(request.url).searchParams.has('save');
    await noteComparison(save ? 'export' : 'view', stored.id, { file: 'report.pdf' });
    return bytesAnswer(bytes, {
      'Content-Type': 'application/pdf',
      'Content-Disposition': `${save ? 'attachment' : 'inline'}; filename="ebbline-${stored.id.slice(0, 8)}-report.pdf"`,
    });
  });
}
