/** The report that a page or route of a case is about, with its case; null unless it is of that case. */
import type { CaseFile, CaseReport } from '#shared/case.ts';
import { withheldBy } from '#shared/withheld.ts';
import { book } from './actor.ts';
import { idsOf } from './case-context.ts';

export type CaseReportFile = Readonly<{
  file: CaseFile;
  report: CaseReport;
  /** It tells of a comparison that a complaint being heard keeps hidden. */
  withheld: boolean;
}>;

export async function reportOf(params: Promise<{ id: string; report: string }>): Promise<CaseReportFile | null> {
  const ids = await idsOf(params, 'id', 'report');
  const file = ids ? await (await book()).caseFile(ids.id) : null;
  const report = file?.reports.find(({ id }) => id === ids?.report);
  if (!file || !report) return null;
  const comparison = file.comparisons.find(({ id }) => id === report.about);
  return { file, report, withheld: comparison !== undefined && withheldBy(comparison, file.complaints) !== null };
}
