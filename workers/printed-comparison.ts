/** The report of a comparison measured from files, as the bytes of a PDF: a draft, since there is no case and nobody signs. */
import { writePdf } from '#lib/report/pdf/write-pdf.ts';
import { comparisonReport } from '#lib/report/print/comparison-report.ts';
import { contentSha256 } from '#lib/report/print/stamp.ts';
import type { ReportView } from '#lib/report/report-views.ts';
import type { Comparison } from '#shared/comparison.ts';
import type { Evidence } from '#shared/field.ts';

export type Printed = Readonly<{ comparison: Comparison; evidence: Evidence | null; views: readonly ReportView[]; title: string }>;

/** Same comparison, same bytes: nothing of the time or the machine is in them. */
export async function printedComparison({ title, ...measured }: Printed): Promise<Uint8Array> {
  const content = { ...measured, subject: { title } };
  const stamp = { version: null, signed: null, replaces: null, contentSha256: contentSha256(content), asOf: null, practiceName: '' };
  return (await writePdf(comparisonReport(content, stamp))).bytes;
}
