/** The measurement beside patient and examiner, from the moment it is revealed; and the form that concludes. */
import Link from 'next/link';
import { ReportButtons } from '#app/_case/report-buttons.tsx';
import { book } from '#app/_server/actor.ts';
import { record } from '#app/_server/record.ts';
import { resultsSeenBefore } from '#app/_server/results-seen.ts';
import { complaintAnswer } from '#lib/report/complaint-answer.ts';
import type { CaseFile, Complaint } from '#shared/case.ts';
import { AnswerTable } from './answer-table.tsx';
import { ConcludeForm } from './conclude-form.tsx';
import { Statement } from './statement.tsx';

type Props = { file: CaseFile; complaint: Complaint; beforeOn: string; afterOn: string };

export async function MeasuredAnswer({ file, complaint, beforeOn, afterOn }: Props) {
  const comparison = complaint.revealed ? await record().comparison(complaint.revealed.comparison) : null;
  if (!comparison)
    return <p className="note stop">The comparison that was shown is no longer kept, so its answer cannot be drawn again.</p>;
  const { facts } = await (await book()).settings();
  const answer = complaintAnswer({
    complaint,
    comparison: comparison.comparison,
    beforeOn,
    afterOn,
    treatments: file.treatments,
    facts,
    resultsSeenBefore: await resultsSeenBefore(file, complaint),
  });
  return (
    <>
      <Statement parts={answer.statement} />
      <section className="sheet" aria-labelledby="zone-by-zone">
        <h2 id="zone-by-zone">Zone by zone</h2>
        <AnswerTable rows={answer.rows} />
        <p className="small">
          <Link href={`/comparison/${comparison.id}`}>The whole comparison, with pictures and maps</Link>
        </p>
      </section>
      <section className="sheet" aria-labelledby="reports">
        <h2 id="reports">Reports</h2>
        <ReportButtons
          caseId={file.patientCase.id}
          kinds={['complaint', 'patient-sheet']}
          about={complaint.id}
          reports={file.reports}
          hasName={file.patientCase.name !== null}
        />
      </section>
      {complaint.stage === 'revealed' && (
        <ConcludeForm
          caseId={file.patientCase.id}
          complaintId={complaint.id}
          revision={complaint.revision}
          proposals={answer.next}
          proposedDay={answer.reviewOn}
        />
      )}
    </>
  );
}
