/** A recorded treatment, to be corrected or removed. */
import type { Metadata } from 'next';
import { notFound } from 'next/navigation';
import { CaseTrail } from '#app/_parts/case-trail.tsx';
import { book } from '#app/_server/actor.ts';
import { idsOf, today } from '#app/_server/case-context.ts';
import { TreatmentForm } from '#app/_treatment/treatment-form.tsx';

export const metadata: Metadata = { title: 'Treatment' };

export default async function TreatmentPage({ params }: { params: Promise<{ id: string; treatment: string }> }) {
  const ids = await idsOf(params, 'id', 'treatment');
  const cases = await book();
  const file = ids ? await cases.caseFile(ids.id) : null;
  const treatment = file?.treatments.find(({ id }) => id === ids?.treatment);
  if (!file || !treatment) notFound();
  const { facts, hints } = await cases.settings();
  return (
    <>
      <CaseTrail patientCase={file.patientCase} here={`Treatment of ${treatment.on}`} />
      <h1>Treatment of {treatment.on}</h1>
      <TreatmentForm
        caseId={file.patientCase.id}
        treatment={treatment}
        earlier={file.treatments.filter(({ id }) => id !== treatment.id)}
        today={today()}
        facts={facts}
        hints={hints}
      />
    </>
  );
}
