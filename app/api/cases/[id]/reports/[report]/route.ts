/** GET the PDF of a report of this case; `?save` offers it as a download. The record leaves a line for it. */
import { book } from '#app/_server/actor.ts';
import { bytesAnswer, noSuchAddress, problem } from '#app/_server/answer.ts';
import { reportOf } from '#app/_server/report-of.ts';
import { unsealed } from '#app/_server/unsealed.ts';
import { reportFileName } from '#lib/report/print/report-names.ts';
import { WITHHELD_WORDS } from '#shared/withheld.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

export async function GET(request: Request, { params }: { params: Promise<{ id: string; report: string }> }): Promise<Response> {
  const known = await reportOf(params);
  if (!known) return noSuchAddress();
  if (known.withheld) return problem(409, 'withheld', WITHHELD_WORDS, 'Record the rating, and show the measurement there.');
  return unsealed(async () => {
    const pdf = await (await book()).reportPdf(known.report.id);
    if (!pdf) return noSuchAddress();
    const how = new URL(request.url).searchParams.has('save') ? 'attachment' : 'inline';
    return bytesAnswer(pdf, {
      'Content-Type': 'application/pdf',
      'Content-Disposition': `${how}; filename="${reportFileName(known.file.patientCase.code, known.report)}"`,
    });
  });
}
