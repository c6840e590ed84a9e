/** What reports are called on pages and as files. Never a person's name. */
import type { CaseReport, ReportKind } from '#shared/case.ts';

export const REPORT_KIND_WORDS: Readonly<Record<ReportKind, string>> = {
  comparison: 'Comparison report',
  complaint: 'Complaint report',
  'patient-sheet': 'Sheet for the patient',
};

/** "MF-014-comparison-2-draft.pdf" */
export const reportFileName = (code: string, { kind, version, state }: Pick<CaseReport, 'kind' | 'version' | 'state'>): string =>
  `${code}-${kind}-${version}${state === 'draft' ? '-draft' : ''}.pdf`;
