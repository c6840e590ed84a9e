/** All reports of a case: for each pair of visits that may be shown, and for each complaint that was answered. */
import type { Metadata } from 'next';
import Link from 'next/link';
import { notFound } from 'next/navigation';
import { ReportButtons } from '#app/_case/report-buttons.tsx';
import css from '#app/_case/sign-report.module.css';
import { CaseTrail } from '#app/_parts/case-trail.tsx';
import { book } from '#app/_server/actor.ts';
import { idsOf } from '#app/_server/case-context.ts';
import { knownComparison } from '#app/_server/comparison-cache.ts';
import { firstLook } from '#app/_server/first-look.ts';
import type { CaseFile } from '#shared/case.ts';
import { shownComparisons, WITHHELD_WORDS } from '#shared/withheld.ts';

export const metadata: Metadata = { title: 'Reports' };

export default async function ReportsPage({ params }: { params: Promise<{ id: string }> }) {
  const ids = await idsOf(params, 'id');
  const cases = await book();
  const file = ids ? await cases.caseFile(ids.id) : null;
  if (!file) notFound();
  const { patientCase, comparisons, complaints, reports } = file;
  if (await firstLook(`reports:${patientCase.id}`))
    await cases.note({ action: 'view', what: 'reports', id: patientCase.id, case: patientCase.id, facts: {} });
  const shown = shownComparisons(comparisons, complaints);
  const measured = await Promise.all(shown.map(async (one) => ({ one, done: (await knownComparison(one.id)) !== null })));
  const answered = complaints.filter(({ revealed }) => revealed !== null);
  const common = { caseId: patientCase.id, reports, hasName: patientCase.name !== null };
  return (
    <div className={css.page}>
      <CaseTrail patientCase={patientCase} here="Reports" />
      <h1>Reports of case {patientCase.code}</h1>
      <p>
        A draft says on every page that it is one. Once signed, a report is locked; what changes afterwards makes the next version. The
        patient&rsquo;s name is printed only where you ask for it.
      </p>
      {shown.length < comparisons.length && <p className="note warn">{WITHHELD_WORDS}</p>}
      {answered.map((complaint) => (
        <section key={complaint.id} className="sheet" aria-labelledby={`about-${complaint.id}`}>
          <h2 id={`about-${complaint.id}`}>
            <Link href={`/cases/${patientCase.id}/complaints/${complaint.id}`}>Complaint of {complaint.on}</Link>
          </h2>
          <ReportButtons {...common} kinds={['complaint', 'patient-sheet']} about={complaint.id} />
        </section>
      ))}
      {measured.map(({ one, done }) => (
        <section key={one.id} className="sheet" aria-labelledby={`about-${one.id}`}>
          <h2 id={`about-${one.id}`}>
            <Link href={`/comparison/${one.id}`}>
              {dayOf(file, one.beforeVisit)} compared with {dayOf(file, one.afterVisit)}
            </Link>
          </h2>
          <p className="small soft">Compared on {one.createdAt.slice(0, 10)}.</p>
          {done ? (
            <ReportButtons {...common} kinds={['comparison', 'patient-sheet']} about={one.id} />
          ) : (
            <p>Not measured yet; it can be reported once it is.</p>
          )}
        </section>
      ))}
      {answered.length + shown.length === 0 && <p>Nothing has been compared yet. Compare two visits first.</p>}
      <p>
        <Link href={`/cases/${patientCase.id}`}>Back to the case</Link>
      </p>
    </div>
  );
}

const dayOf = ({ visits }: CaseFile, id: string): string => visits.find((visit) => visit.id === id)?.on ?? 'a visit that was removed';
