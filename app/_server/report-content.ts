/**
 * What a case's report says, gathered from the record: the comparison with its pictures, the complaint with its answer, or what the patient's
 * sheet needs. Refuses what must not be told yet, and what has not been measured.
 */
import type { CaseBook, CaseFault } from '#lib/record/case-types.ts';
import { complaintAnswer } from '#lib/report/complaint-answer.ts';
import { type WrittenPdf, writePdf } from '#lib/report/pdf/write-pdf.ts';
import { comparisonReport } from '#lib/report/print/comparison-report.ts';
import { complaintReport } from '#lib/report/print/complaint-report.ts';
import { patientSheet } from '#lib/report/print/patient-sheet.ts';
import { contentSha256, type Stamp } from '#lib/report/print/stamp.ts';
import { subjectOf } from '#lib/report/print/subject.ts';
import { viewWords } from '#lib/report/view-words.ts';
import type { CaseFile, Complaint, ReportKind, Visit } from '#shared/case.ts';
import { facePhoto } from '#shared/complaint-photos.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { WITHHELD_WORDS, withheldBy } from '#shared/withheld.ts';
import { record } from './record.ts';
import { reportEvidence, reportViews } from './report-pictures.ts';
import { resultsSeenBefore } from './results-seen.ts';

/** Everything but the stamp; `write` sets it. */
export type ReportContent = Readonly<{
  contentSha256: string;
  /** When the newest of the data was written. */
  asOf: string;
  practiceName: string;
  write: (stamp: Stamp) => Promise<WrittenPdf>;
}>;

type Asked = Readonly<{ kind: ReportKind; about: string; withName: boolean }>;
type About = Readonly<{ comparison: string; before: Visit; after: Visit; complaint: Complaint | null }>;

export async function reportContent(cases: CaseBook, file: CaseFile, asked: Asked): Promise<Outcome<ReportContent, CaseFault>> {
  const about = aboutOf(file, asked);
  if (!about.ok) return about;
  const { before, after, complaint } = about.value;
  const stored = await record().comparison(about.value.comparison);
  if (!stored)
    return refused('unfit', 'These visits have not been measured yet, so there is nothing to report. Wait until the comparison is done.');
  const { comparison } = stored;
  const { practiceName, facts } = await cases.settings();
  const subject = subjectOf(file.patientCase, { before, after }, file.treatments, asked.withName);
  const asOf = [stored.createdAt, ...(complaint ? timesOf(complaint) : [])].sort().at(-1)!;
  const make = (data: object, write: ReportContent['write']): Outcome<ReportContent, CaseFault> =>
    found({ contentSha256: contentSha256({ kind: asked.kind, practiceName, ...data }), asOf, practiceName, write });

  if (asked.kind === 'comparison') {
    const content = { comparison, subject, evidence: await reportEvidence(stored.id), views: await reportViews(stored.id, comparison) };
    return make(content, (stamp) => writePdf(comparisonReport(content, stamp)));
  }
  if (asked.kind === 'patient-sheet') {
    const content = { comparison, subject, conclusion: complaint?.conclusion?.part ?? null, facts };
    return make(content, (stamp) => patientSheet(content, stamp));
  }
  if (!complaint) throw new RangeError('a complaint report is about a complaint');
  const content = {
    subject,
    complaint,
    comparison,
    answer: complaintAnswer({
      complaint,
      comparison,
      beforeOn: before.on,
      afterOn: after.on,
      treatments: file.treatments,
      facts,
      resultsSeenBefore: await resultsSeenBefore(file, complaint),
    }),
    views: await reportViews(stored.id, comparison, { asTaken: true }),
    marked: await markedPhoto(complaint, after),
    callsMe: calledMe(file, complaint),
  };
  return make(content, (stamp) => writePdf(complaintReport(content, stamp)));
}

/** Which comparison, visits and complaint a report is about, unless they are gone or may not be told of yet. */
function aboutOf(file: CaseFile, { kind, about }: Asked): Outcome<About, CaseFault> {
  const complaint = kind === 'comparison' ? undefined : file.complaints.find(({ id }) => id === about);
  if (complaint && !complaint.revealed)
    return refused(
      'out-of-order',
      'The complaint has not been answered yet. Record the rating and show the measurement; then it can be reported.',
    );
  const comparison = file.comparisons.find(({ id }) => id === (complaint?.revealed?.comparison ?? (kind === 'complaint' ? null : about)));
  const visit = (id: string | undefined): Visit | undefined => file.visits.find((one) => one.id === id);
  const [before, after] = [visit(comparison?.beforeVisit), visit(comparison?.afterVisit)];
  if (!comparison || !before || !after)
    return refused('gone', 'What this report is about is no longer in the record; somebody may have deleted it. Go back to the case.');
  if (withheldBy(comparison, file.complaints)) return refused('out-of-order', WITHHELD_WORDS);
  return found({ comparison: comparison.id, before, after, complaint: complaint ?? null });
}

const timesOf = ({ openedAt, patient, examiner, revealed, conclusion, additions }: Complaint): string[] => [
  openedAt,
  ...[patient, examiner, revealed, conclusion].flatMap((part) => (part ? [part.at] : [])),
  ...additions.map(({ at }) => at),
];

/** The upright picture that the patient marked. */
async function markedPhoto({ patient }: Complaint, after: Visit): Promise<Uint8Array | null> {
  const sha256 = patient?.part.marksOn ?? facePhoto(after)?.sha256;
  return sha256 ? record().preview(sha256) : null;
}

function calledMe({ visits }: CaseFile, { patient }: Complaint): string | null {
  const sha256 = patient?.part.callsMe;
  if (!sha256) return null;
  for (const { on, label, photos } of visits) {
    const photo = photos.find((one) => one.sha256 === sha256);
    if (photo) return `${on}${label ? ` (${label})` : ''}, ${viewWords(photo.view).toLowerCase()}`;
  }
  return 'a photograph that has been removed since';
}
