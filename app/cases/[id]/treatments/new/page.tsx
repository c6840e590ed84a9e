/** A treatment to be recorded. */
import type { Metadata } from 'next';
import { notFound } from 'next/navigation';
import { CaseTrail } from '#app/_parts/case-trail.tsx';
import { book } from '#app/_server/actor.ts';
import { idsOf, today } from '#app/_server/case-context.ts';
import { TreatmentForm } from '#app/_treatment/treatment-form.tsx';

export const metadata: Metadata = { title: 'New treatment' };

export default async function NewTreatment({ params }: { params: Promise<{ id: string }> }) {
  const ids = await idsOf(params, 'id');
  const cases = await book();
  const file = ids ? await cases.caseFile(ids.id) : null;
  if (!file) notFound();
  const { facts, hints } = await cases.settings();
  return (
    <>
      <CaseTrail patientCase={file.patientCase} here="New treatment" />
      <h1>Record a treatment</h1>
      <TreatmentForm caseId={file.patientCase.id} treatment={null} earlier={file.treatments} today={today()} facts={facts} hints={hints} />
    </>
  );
}
