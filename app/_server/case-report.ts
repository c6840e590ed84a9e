/**
 * Drafts and signatures. A draft is a function of the record alone, so it can be made again byte for byte: what is signed is proved to be
 * what was read by making the draft anew and comparing its hash with the one that is kept.
 */
import { createHash } from 'node:crypto';
import type { CaseBook, CaseFault } from '#lib/record/case-types.ts';
import type { Stamp } from '#lib/report/print/stamp.ts';
import type { CaseFile, CaseReport, ReportKind } from '#shared/case.ts';
import { type Outcome, refused } from '#shared/outcome.ts';
import { type ReportContent, reportContent } from './report-content.ts';

type Asked = Readonly<{ kind: ReportKind; about: string; withName: boolean }>;

/** Makes the draft of what the record says now, and keeps it in place of an older draft. */
export async function makeDraft(cases: CaseBook, file: CaseFile, asked: Asked): Promise<Outcome<CaseReport, CaseFault>> {
  const content = await reportContent(cases, file, asked);
  if (!content.ok) return content;
  const { bytes } = await content.value.write(stampOf(content.value, file, asked, null));
  return cases.putReport(file.patientCase.id, asked.kind, asked.about, bytes);
}

/** Signs the newest draft, if it still says what the record says. `at` is printed; the record writes its own time beside it. */
export async function signDraft(
  cases: CaseBook,
  file: CaseFile,
  draft: CaseReport,
  by: string,
  at: string,
): Promise<Outcome<CaseReport, CaseFault>> {
  if (draft.state === 'signed')
    return refused('locked', 'This report is signed, and is not changed any more. A new draft makes the next version.');
  const complaint = draft.kind === 'complaint' ? file.complaints.find(({ id }) => id === draft.about) : undefined;
  if (complaint && complaint.stage !== 'concluded')
    return refused('out-of-order', 'The complaint is not concluded yet. Conclude it and make the draft anew; then it can be signed.');
  for (const withName of file.patientCase.name === null ? [false] : [false, true]) {
    const asked = { kind: draft.kind, about: draft.about, withName };
    const content = await reportContent(cases, file, asked);
    if (!content.ok) return content;
    const anew = await content.value.write(stampOf(content.value, file, asked, null));
    if (createHash('sha256').update(anew.bytes).digest('hex') !== draft.sha256) continue;
    const { bytes } = await content.value.write(stampOf(content.value, file, asked, { by, at }));
    return cases.signReport(draft.id, by, bytes);
  }
  return refused(
    'changed-meanwhile',
    'What this draft was made from has changed since, or the program has. Make the draft anew, read it, and sign that.',
  );
}

function stampOf(
  { contentSha256, asOf, practiceName }: ReportContent,
  { reports }: CaseFile,
  { kind, about }: Asked,
  signed: Stamp['signed'],
): Stamp {
  const replaces = reports
    .filter((report) => report.kind === kind && report.about === about && report.state === 'signed')
    .sort((a, b) => b.version - a.version)[0];
  return {
    version: (replaces?.version ?? 0) + 1,
    replaces: replaces ? { version: replaces.version, sha256: replaces.sha256, signed: replaces.signed } : null,
    signed,
    contentSha256,
    asOf,
    practiceName,
  };
}
