/** One report of a case: what it is, the file to read, and, while it is a draft, the place to sign it. */
import type { Metadata } from 'next';
import Link from 'next/link';
import { notFound } from 'next/navigation';
import css from '#app/_case/sign-report.module.css';
import { SignReport } from '#app/_case/sign-report.tsx';
import { CaseTrail } from '#app/_parts/case-trail.tsx';
import { book } from '#app/_server/actor.ts';
import { firstLook } from '#app/_server/first-look.ts';
import { reportOf } from '#app/_server/report-of.ts';
import { REPORT_KIND_WORDS } from '#lib/report/print/report-names.ts';
import { momentText } from '#lib/report/print/stamp.ts';
import type { CaseFile, CaseReport } from '#shared/case.ts';
import { WITHHELD_WORDS } from '#shared/withheld.ts';

export const metadata: Metadata = { title: 'Report' };

type Props = { params: Promise<{ id: string; report: string }> };

export default async function ReportPage({ params }: Props) {
  const known = await reportOf(params);
  if (!known) notFound();
  const { file, report, withheld } = known;
  const { patientCase } = file;
  const words = REPORT_KIND_WORDS[report.kind];
  const address = `/api/cases/${patientCase.id}/reports/${report.id}`;
  if (await firstLook(`report:${report.id}`))
    await (await book()).note({ action: 'view', what: 'report', id: report.id, case: patientCase.id, facts: { version: report.version } });
  return (
    <>
      <CaseTrail patientCase={patientCase} here={words} />
      <h1 className={css.title}>
        {words}, version {report.version}
      </h1>
      {withheld ? (
        <p className="note warn">{WITHHELD_WORDS}</p>
      ) : (
        <div className={css.page}>
          <section className="sheet" aria-labelledby="facts">
            <h2 id="facts">{report.signed ? 'Signed and locked' : 'Draft, not signed'}</h2>
            <Facts file={file} report={report} />
            <p className="row">
              <a className="button" href={address} target="_blank" rel="noreferrer">
                Open the PDF
              </a>
              <a className="button" href={`${address}?save`} download>
                Save the PDF
              </a>
            </p>
          </section>
          {!report.signed && (
            <section className="sheet" aria-labelledby="sign">
              <h2 id="sign">Sign</h2>
              <p>
                Open the draft and read it first. If the record has changed since it was made, signing is refused and a new draft is asked
                for.
              </p>
              <SignReport caseId={patientCase.id} reportId={report.id} />
            </section>
          )}
        </div>
      )}
      <p>
        <Link href={`/cases/${patientCase.id}/reports`}>All reports of this case</Link>
      </p>
      <p>
        <Link href={`/cases/${patientCase.id}`}>Back to the case</Link>
      </p>
    </>
  );
}

function Facts({ file, report }: { file: CaseFile; report: CaseReport }) {
  const others = file.reports.filter((one) => one.kind === report.kind && one.about === report.about && one.id !== report.id);
  const before = others.filter(({ version }) => version < report.version).sort((a, b) => b.version - a.version)[0];
  const after = others.find(({ version, state }) => version > report.version && state === 'signed');
  const facts: readonly (readonly [string, string])[] = [
    ['About', aboutWords(file, report)],
    ['Made', momentText(report.createdAt)],
    ...(report.signed ? ([['Signed', `by ${report.signed.by}, ${momentText(report.signed.at)}`]] as const) : []),
    ...(before
      ? ([['Takes the place of', `version ${before.version}${before.signed ? `, signed by ${before.signed.by}` : ''}`]] as const)
      : []),
    ...(after ? ([['Replaced by', `version ${after.version}`]] as const) : []),
    ['Size', `${Math.ceil(report.bytes / 1024)} kB`],
    ['SHA-256 of the file', report.sha256],
  ];
  return (
    <dl className={css.facts}>
      {facts.map(([term, words]) => (
        <div key={term} className={css.fact}>
          <dt>{term}</dt>
          <dd className={term.startsWith('SHA') ? 'mono' : undefined}>{words}</dd>
        </div>
      ))}
    </dl>
  );
}

function aboutWords({ comparisons, complaints, visits }: CaseFile, { about }: CaseReport): string {
  const complaint = complaints.find(({ id }) => id === about);
  const pair = complaint ?? comparisons.find(({ id }) => id === about);
  const day = (id: string | undefined): string => visits.find((visit) => visit.id === id)?.on ?? 'a visit that was removed';
  return `${complaint ? `the complaint of ${complaint.on}, ` : ''}the visits of ${day(pair?.beforeVisit)} and ${day(pair?.afterVisit)}`;
}
