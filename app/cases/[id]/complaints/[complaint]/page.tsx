/**
 * One complaint at the stage it has reached. What is measured is read from the record only once it has been revealed, so that nothing of
 * it can be in an earlier page, not even unseen.
 */
import type { Metadata } from 'next';
import { notFound } from 'next/navigation';
import { Additions } from '#app/_complaint/additions.tsx';
import css from '#app/_complaint/complaint.module.css';
import { ComplaintAside } from '#app/_complaint/complaint-aside.tsx';
import { HearForm } from '#app/_complaint/hear-form.tsx';
import { MeasuredAnswer } from '#app/_complaint/measured-answer.tsx';
import { RateForm } from '#app/_complaint/rate-form.tsx';
import { Concluded, ExaminerSaid, PatientSaid } from '#app/_complaint/recorded.tsx';
import { RevealStep } from '#app/_complaint/reveal-step.tsx';
import { SideBySide } from '#app/_complaint/side-by-side.tsx';
import { StageLine } from '#app/_complaint/stage-line.tsx';
import { CaseTrail } from '#app/_parts/case-trail.tsx';
import { complaintOf } from '#app/_server/complaint-of.ts';
import { record } from '#app/_server/record.ts';
import { setUpWords } from '#lib/report/set-up-words.ts';
import type { CaseFile, Complaint, Visit } from '#shared/case.ts';
import { facePhoto, sharedViews } from '#shared/complaint-photos.ts';

type Props = { params: Promise<{ id: string; complaint: string }> };

export const metadata: Metadata = { title: 'Complaint' };

export default async function ComplaintPage({ params }: Props) {
  const found = await complaintOf(params);
  if (!found) notFound();
  const { file, complaint } = found;
  const { patientCase, visits } = file;
  const before = visits.find(({ id }) => id === complaint.beforeVisit);
  const after = visits.find(({ id }) => id === complaint.afterVisit);
  if (!before || !after) notFound();
  const callsMe = complaint.patient?.part.callsMe ?? null;
  return (
    <>
      <CaseTrail patientCase={patientCase} here={`Complaint of ${complaint.on}`} />
      <h1>Complaint of {complaint.on}</h1>
      <p className="soft">
        Photographs of <span className="number">{before.on}</span> against <span className="number">{after.on}</span>.
      </p>
      <StageLine complaint={complaint} />
      <div className={css.body}>
        <div className={css.steps}>
          <Step file={file} complaint={complaint} before={before} after={after} />
          {complaint.conclusion && <Concluded conclusion={complaint.conclusion} />}
          {complaint.examiner && <ExaminerSaid examiner={complaint.examiner} />}
          {complaint.patient && <PatientSaid patient={complaint.patient} callsMeWords={callsMe && photoWords(visits, callsMe)} />}
          {complaint.patient && <Additions caseId={patientCase.id} complaint={complaint} />}
        </div>
        <ComplaintAside />
      </div>
    </>
  );
}

type StepProps = { file: CaseFile; complaint: Complaint; before: Visit; after: Visit };

async function Step({ file, complaint, before, after }: StepProps) {
  const own = { caseId: file.patientCase.id, complaintId: complaint.id, revision: complaint.revision };
  switch (complaint.stage) {
    case 'opened': {
      const photo = facePhoto(after);
      return <HearForm {...own} photo={photo && { sha256: photo.sha256, name: photo.name }} earlier={earlierPhotos(file.visits, after)} />;
    }
    case 'heard':
      return (
        <>
          <SideBySide pairs={sharedViews(before, after)} beforeOn={before.on} afterOn={after.on} />
          <RateForm {...own} named={complaint.patient?.part.zones ?? []} />
        </>
      );
    case 'rated': {
      const setUps = await record().listSetUps();
      return (
        <RevealStep
          {...own}
          setUps={setUps.map(({ sha256, profile }) => ({ sha256, words: `${setUpWords(profile)}, ${profile.madeOn}` }))}
        />
      );
    }
    case 'revealed':
    case 'concluded':
      return <MeasuredAnswer file={file} complaint={complaint} beforeOn={before.on} afterOn={after.on} />;
  }
}

/** One photograph of each visit before the one complained of, oldest first. */
function earlierPhotos(visits: readonly Visit[], after: Visit): { sha256: string; words: string }[] {
  return visits
    .filter(({ id, on }) => id !== after.id && on <= after.on)
    .flatMap((visit) => {
      const photo = facePhoto(visit);
      return photo ? [{ sha256: photo.sha256, words: [visit.on, visit.label].filter(Boolean).join(', ') }] : [];
    });
}

function photoWords(visits: readonly Visit[], sha256: string): string {
  const visit = visits.find(({ photos }) => photos.some((photo) => photo.sha256 === sha256));
  return visit ? `the photograph of ${visit.on}` : 'a photograph that is no longer in the case';
}
