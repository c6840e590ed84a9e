/** A complaint to be opened. */
import type { Metadata } from 'next';
import Link from 'next/link';
import { notFound } from 'next/navigation';
import css from '#app/_complaint/complaint.module.css';
import { ComplaintAside } from '#app/_complaint/complaint-aside.tsx';
import { OpenForm } from '#app/_complaint/open-form.tsx';
import { CaseTrail } from '#app/_parts/case-trail.tsx';
import { book } from '#app/_server/actor.ts';
import { idsOf, today } from '#app/_server/case-context.ts';

export const metadata: Metadata = { title: 'New complaint' };

export default async function NewComplaint({ params }: { params: Promise<{ id: string }> }) {
  const ids = await idsOf(params, 'id');
  const file = ids ? await (await book()).caseFile(ids.id) : null;
  if (!file) notFound();
  const { patientCase } = file;
  const visits = file.visits.map(({ id, on, label, baseline, photos }) => ({
    id,
    on,
    baseline,
    words: [on, label, baseline ? 'baseline' : '', photos.length === 0 ? 'no photographs' : ''].filter(Boolean).join(', '),
  }));
  return (
    <>
      <CaseTrail patientCase={patientCase} here="New complaint" />
      <h1>A patient says that they look different</h1>
      <p className="soft">
        Choose the visit at which they looked like themselves and the one at which they do not. From now until the examiner has rated the
        photographs, no measurement of the later ones is shown.
      </p>
      <div className={css.body}>
        {visits.length < 2 ? (
          <p className="note">
            A complaint needs two visits with photographs. <Link href={`/cases/${patientCase.id}/import`}>Bring photographs in</Link> first.
          </p>
        ) : (
          <OpenForm caseId={patientCase.id} visits={visits} today={today()} />
        )}
        <ComplaintAside />
      </div>
    </>
  );
}
