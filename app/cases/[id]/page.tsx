/** One case: who and what was agreed, its time line, its visits, what was measured, treated, complained of and reported. */
import type { Metadata } from 'next';
import Link from 'next/link';
import { notFound } from 'next/navigation';
import { RunnerNotice } from '#app/_bench/runner-notice.tsx';
import css from '#app/_case/case.module.css';
import { CaseForm } from '#app/_case/case-form.tsx';
import { dayWords, resultLines, visitWords } from '#app/_case/case-lines.ts';
import { CaseResults } from '#app/_case/case-results.tsx';
import { CompareVisits } from '#app/_case/compare-visits.tsx';
import { ConsentForm, WithdrawForm } from '#app/_case/consent-form.tsx';
import { CONSENT_WORDS } from '#app/_case/consent-words.ts';
import { EraseCase } from '#app/_case/erase-case.tsx';
import { Timeline } from '#app/_case/timeline.tsx';
import { VisitSheet } from '#app/_case/visit-sheet.tsx';
import trail from '#app/_parts/case-trail.module.css';
import { book } from '#app/_server/actor.ts';
import { idsOf, today } from '#app/_server/case-context.ts';
import { firstLook } from '#app/_server/first-look.ts';
import { record } from '#app/_server/record.ts';
import { TreatmentLine } from '#app/_treatment/treatment-line.tsx';
import { STAGE_WORDS } from '#lib/report/complaint-words.ts';
import { count, setUpWords } from '#lib/report/set-up-words.ts';
import { reviewDays } from '#lib/series/review-days.ts';
import { type CaseFile, type CaseReport, CONSENT_KINDS, type Complaint } from '#shared/case.ts';

type Props = { params: Promise<{ id: string }> };

/** The code alone: a name in a window's title would be seen by whoever passes. */
export async function generateMetadata({ params }: Props): Promise<Metadata> {
  const ids = await idsOf(params, 'id');
  const file = ids ? await (await book()).caseFile(ids.id) : null;
  return { title: file ? `Case ${file.patientCase.code}` : 'Case' };
}

export default async function CasePage({ params }: Props) {
  const ids = await idsOf(params, 'id');
  const cases = await book();
  const file = ids ? await ((await firstLook(`case:${ids.id}`)) ? cases.openCase(ids.id) : cases.caseFile(ids.id)) : null;
  if (!file) notFound();
  const [lines, settings, alive, setUps] = await Promise.all([
    resultLines(file),
    cases.settings(),
    record().runnerAlive(),
    record().listSetUps(),
  ]);
  const { patientCase, visits, treatments, complaints } = file;
  const day = today();
  const address = `/cases/${patientCase.id}`;
  const baseline = visits.find((visit) => visit.baseline) ?? visits[0];
  const newest = visits.findLast((visit) => visit.id !== baseline?.id) ?? visits.at(-1);
  const reviews = [
    ...new Set([...reviewDays(treatments, settings.facts), ...complaints.flatMap(({ conclusion }) => conclusion?.part.reviewOn ?? [])]),
  ].sort();
  const nextReview = reviews.find((on) => on >= day);
  return (
    <>
      <Head file={file} day={day} />
      <RunnerNotice alive={alive} />
      <section className={css.section} aria-labelledby="time">
        <h2 id="time">Timeline</h2>
        {visits.length + treatments.length + complaints.length === 0 ? (
          <p className="small soft">Nothing has happened yet. Begin with photographs from before the treatment.</p>
        ) : (
          <Timeline file={file} facts={settings.facts} reviews={reviews} today={day} />
        )}
        {nextReview && (
          <p className="small">
            Next review: <span className="number">{nextReview}</span>
          </p>
        )}
      </section>

      <section className={css.section} aria-labelledby="visits">
        <div className={css.sectionHead}>
          <h2 id="visits">Visits</h2>
          <Link className="button" href={`${address}/import`} prefetch={false}>
            Add photographs
          </Link>
        </div>
        <div className={css.visits}>
          {visits.toReversed().map((visit) => (
            <VisitSheet key={visit.id} visit={visit} dayWords={dayWords(visit.on, treatments)} />
          ))}
        </div>
      </section>

      {baseline && newest && visits.length > 1 && (
        <section className={css.section} aria-labelledby="compare">
          <div className={css.sectionHead}>
            <h2 id="compare">Compare</h2>
            {lines.length > 0 && (
              <Link className="button" href={`${address}/course`} prefetch={false}>
                Course of a zone
              </Link>
            )}
          </div>
          <div className="sheet">
            <CompareVisits
              key={`${baseline.id} ${newest.id}`}
              caseId={patientCase.id}
              before={baseline.id}
              after={newest.id}
              visits={visits.map((visit) => ({
                id: visit.id,
                words: visitWords(visit, treatments),
                views: visit.photos.filter(({ chosen }) => chosen).map(({ view }) => view),
              }))}
              setUps={setUps.map(({ sha256, profile }) => ({ sha256, words: `${setUpWords(profile)}, ${profile.madeOn}` }))}
            />
          </div>
          <h3>Results</h3>
          <CaseResults caseId={patientCase.id} lines={lines} reports={file.reports} hasName={patientCase.name !== null} />
          {file.reports.length > 0 && (
            <p className="small">
              <Link href={`${address}/reports`} prefetch={false}>
                All reports of this case
              </Link>
            </p>
          )}
        </section>
      )}

      <div className={css.twoColumns}>
        <section className={css.section} aria-labelledby="treatments">
          <div className={css.sectionHead}>
            <h2 id="treatments">Treatments</h2>
            <Link className="button" href={`${address}/treatments/new`} prefetch={false}>
              Record a treatment
            </Link>
          </div>
          {treatments.length === 0 ? (
            <p className="small soft">None is recorded yet. Days are counted from one that dissolved gel.</p>
          ) : (
            treatments.toReversed().map((treatment) => (
              <div key={treatment.id} className={`sheet ${css.line}`}>
                <h3 className="number">
                  <Link href={`${address}/treatments/${treatment.id}`} prefetch={false}>
                    {treatment.on}
                  </Link>
                </h3>
                <TreatmentLine treatment={treatment} />
              </div>
            ))
          )}
        </section>
        <section className={css.section} aria-labelledby="complaints">
          <div className={css.sectionHead}>
            <h2 id="complaints">Complaints</h2>
            {visits.length > 1 && (
              <Link className="button" href={`${address}/complaints/new`} prefetch={false}>
                Hear a complaint
              </Link>
            )}
          </div>
          {complaints.length === 0 ? (
            <p className="small soft">None.</p>
          ) : (
            complaints.toReversed().map((complaint) => (
              <div key={complaint.id} className={`sheet ${css.line}`}>
                <h3 className="number">
                  <Link href={`${address}/complaints/${complaint.id}`} prefetch={false}>
                    {complaint.on}
                  </Link>
                </h3>
                <p className="small">{complaintWords(complaint, file.reports)}</p>
              </div>
            ))
          )}
        </section>
      </div>
      <section className={css.section} aria-labelledby="keep">
        <h2 id="keep">The case itself</h2>
        <details className={css.quiet}>
          <summary className="small">Code, name and note</summary>
          <CaseForm patientCase={patientCase} />
        </details>
        <EraseCase caseId={patientCase.id} code={patientCase.code} />
      </section>
    </>
  );
}

/** The stage, and how far its reports are. */
function complaintWords({ id, stage }: Complaint, reports: readonly CaseReport[]): string {
  const own = reports.filter(({ about }) => about === id);
  const signed = own.filter((report) => report.signed !== null).length;
  const stageWords = STAGE_WORDS[stage];
  const said = stageWords.charAt(0).toUpperCase() + stageWords.slice(1);
  return own.length === 0 ? said : `${said}; ${count(own.length, 'report')}, ${signed === 0 ? 'none' : signed} signed`;
}

function Head({ file: { patientCase, consents }, day }: { file: CaseFile; day: string }) {
  const { code, name, birthYear, note } = patientCase;
  return (
    <header className={css.head}>
      <nav className={`small soft ${trail.trail}`} aria-label="Where this page stands">
        <p>
          <Link href="/cases">Cases</Link> / {code}
        </p>
      </nav>
      <h1>Case {code}</h1>
      {(name || birthYear !== null) && (
        <p>
          {name}
          {birthYear !== null && (
            <span className="soft">
              {name && ', '}born {birthYear}
            </span>
          )}
        </p>
      )}
      {note && <p className="small">{note}</p>}
      <ul className={css.consents} aria-label="Consents">
        {CONSENT_KINDS.map((kind) => {
          const given = consents.filter((consent) => consent.kind === kind);
          const stands = given.find(({ withdrawnOn }) => withdrawnOn === null);
          const last = given.at(-1);
          return (
            <li key={kind}>
              <span className="small">
                {CONSENT_WORDS[kind]}:{' '}
                {stands ? (
                  <strong>
                    agreed on <span className="number">{stands.givenOn}</span>
                  </strong>
                ) : last?.withdrawnOn ? (
                  <strong>
                    withdrawn on <span className="number">{last.withdrawnOn}</span>
                  </strong>
                ) : (
                  <span className="soft">not agreed</span>
                )}
              </span>
              {stands ? (
                <WithdrawForm caseId={patientCase.id} consent={stands} today={day} />
              ) : (
                <details className={css.quiet}>
                  <summary className="small">
                    Record consent<span className="unseen">: {CONSENT_WORDS[kind]}</span>
                  </summary>
                  <ConsentForm caseId={patientCase.id} kind={kind} today={day} />
                </details>
              )}
            </li>
          );
        })}
      </ul>
    </header>
  );
}
