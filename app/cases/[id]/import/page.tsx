/** Photographs come into a case here: many at once, sorted by day and view, looked over, and put in. */
import type { Metadata } from 'next';
import { notFound } from 'next/navigation';
import { RunnerNotice } from '#app/_bench/runner-notice.tsx';
import css from '#app/_case/case.module.css';
import { ConsentForm } from '#app/_case/consent-form.tsx';
import { ImportDesk } from '#app/_case/import-desk.tsx';
import { CaseTrail } from '#app/_parts/case-trail.tsx';
import { book } from '#app/_server/actor.ts';
import { idsOf, today } from '#app/_server/case-context.ts';
import { record } from '#app/_server/record.ts';

export const metadata: Metadata = { title: 'Add photographs' };

export default async function Import({ params }: { params: Promise<{ id: string }> }) {
  const ids = await idsOf(params, 'id');
  const file = ids ? await (await book()).caseFile(ids.id) : null;
  if (!file) notFound();
  const { patientCase, consents, visits } = file;
  const agreed = consents.some(({ kind, withdrawnOn }) => kind === 'photographs' && withdrawnOn === null);
  return (
    <>
      <CaseTrail patientCase={patientCase} here="Add photographs" />
      <h1 className={css.title}>Add photographs</h1>
      <RunnerNotice alive={await record().runnerAlive()} />
      {agreed ? (
        <ImportDesk caseId={patientCase.id} inCase={visits.flatMap(({ photos }) => photos.map(({ sha256 }) => sha256))} today={today()} />
      ) : (
        <section className="sheet" aria-labelledby="no-consent">
          <h2 id="no-consent">The patient&rsquo;s consent comes first</h2>
          <p>No consent to photographs is recorded, or it was withdrawn. Until there is one, no photographs are taken in.</p>
          <ConsentForm caseId={patientCase.id} kind="photographs" today={today()} />
        </section>
      )}
    </>
  );
}
