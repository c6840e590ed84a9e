/** The complaints of a case, newest first, each with its stage. */
import type { Metadata } from 'next';
import Link from 'next/link';
import { notFound } from 'next/navigation';
import css from '#app/_complaint/complaint.module.css';
import { CaseTrail } from '#app/_parts/case-trail.tsx';
import { book } from '#app/_server/actor.ts';
import { idsOf } from '#app/_server/case-context.ts';
import { STAGE_WORDS } from '#lib/report/complaint-words.ts';

export const metadata: Metadata = { title: 'Complaints' };

export default async function Complaints({ params }: { params: Promise<{ id: string }> }) {
  const ids = await idsOf(params, 'id');
  const file = ids ? await (await book()).caseFile(ids.id) : null;
  if (!file) notFound();
  const { patientCase, complaints, visits } = file;
  const dayOf = (visit: string) => visits.find(({ id }) => id === visit)?.on ?? 'a removed visit';
  return (
    <>
      <CaseTrail patientCase={patientCase} here="Complaints" />
      <h1>Complaints</h1>
      <p className="soft">
        When a patient says that they look different: their own words first, then the examiner&rsquo;s eye, and only then the measurement.
      </p>
      <p>
        <Link className="button" href={`/cases/${patientCase.id}/complaints/new`}>
          Hear a complaint
        </Link>
      </p>
      {complaints.length === 0 && <p className="soft">None is recorded.</p>}
      <ol className={css.list} reversed>
        {complaints.toReversed().map((complaint) => (
          <li key={complaint.id} className="sheet">
            <h2 className="number">
              <Link href={`/cases/${patientCase.id}/complaints/${complaint.id}`}>{complaint.on}</Link>
            </h2>
            <p>
              <span className="number">{dayOf(complaint.beforeVisit)}</span> against{' '}
              <span className="number">{dayOf(complaint.afterVisit)}</span>: {STAGE_WORDS[complaint.stage]}
            </p>
          </li>
        ))}
      </ol>
    </>
  );
}
