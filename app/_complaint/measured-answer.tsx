/** The measurement beside patient and examiner, from the moment it is revealed; and the form that concludes. */
import Link from 'next/link';
import { book } from '#app/_server/actor.ts';
import { record } from '#app/_server/record.ts';
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
    resultsSeenBefore: await resultsSeenBefore(file.patientCase.id, complaint.id),
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

/** As the audit's line of the rating says; 0 where there is none. */
async function resultsSeenBefore(caseId: string, complaintId: string): Promise<number> {
  const lines = await record().audit.lines({ case: caseId, limit: 2000 });
  const rated = lines.find(({ what, id, facts }) => what === 'complaint' && id === complaintId && facts['stage'] === 'rated');
  return Number(rated?.facts['resultsSeenBefore'] ?? 0);
}
