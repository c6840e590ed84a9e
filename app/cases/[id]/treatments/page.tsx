/** The treatments of a case, newest first, and what is expected to be left of the gel in each zone. */
import type { Metadata } from 'next';
import Link from 'next/link';
import { notFound } from 'next/navigation';
import { CaseTrail } from '#app/_parts/case-trail.tsx';
import { book } from '#app/_server/actor.ts';
import { idsOf } from '#app/_server/case-context.ts';
import css from '#app/_treatment/treatment.module.css';
import { TreatmentLine } from '#app/_treatment/treatment-line.tsx';
import { factSourceWords } from '#shared/fact-source.ts';
import { gelLeftWords, passesOf } from '#shared/residual-gel.ts';
import { ZONE_IDS, zoneLabel } from '#shared/zones.ts';

export const metadata: Metadata = { title: 'Treatments' };

export default async function Treatments({ params }: { params: Promise<{ id: string }> }) {
  const ids = await idsOf(params, 'id');
  const cases = await book();
  const file = ids ? await cases.caseFile(ids.id) : null;
  if (!file) notFound();
  const { facts } = await cases.settings();
  const { patientCase, treatments } = file;
  const passed = ZONE_IDS.map((zone) => ({ zone, passes: passesOf(zone, treatments) })).filter(({ passes }) => passes > 0);
  return (
    <>
      <CaseTrail patientCase={patientCase} here="Treatments" />
      <h1>Treatments</h1>
      <p>
        <Link className="button" href={`/cases/${patientCase.id}/treatments/new`}>
          Record a treatment
        </Link>
      </p>
      {treatments.length === 0 && <p className="soft">None is recorded yet.</p>}
      <ol className={css.list} reversed>
        {treatments.toReversed().map((treatment) => (
          <li key={treatment.id} className="sheet">
            <h2 className="number">
              <Link href={`/cases/${patientCase.id}/treatments/${treatment.id}`}>{treatment.on}</Link>
            </h2>
            <TreatmentLine treatment={treatment} />
          </li>
        ))}
      </ol>
      {passed.length > 0 && (
        <section className="sheet" aria-labelledby="left">
          <h2 id="left">Gel left, as the practice&rsquo;s own estimate</h2>
          <ul className={css.left}>
            {passed.map(({ zone, passes }) => (
              <li key={zone}>
                {zoneLabel(zone)}: <span className="number">{gelLeftWords(passes, facts)}</span> after {passes}{' '}
                {passes === 1 ? 'pass' : 'passes'}
              </li>
            ))}
          </ul>
          <p className="small soft">
            If each pass takes {Math.round(100 * facts.removedPerPass[0])} to {Math.round(100 * facts.removedPerPass[1])} % of what is
            there; not measured. <span className={css.source}>{factSourceWords(facts, 'removedPerPass')}</span>
          </p>
        </section>
      )}
    </>
  );
}
