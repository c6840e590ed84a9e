/** Where a page of a case stands, with the way back to the case. */
import Link from 'next/link';
import type { PatientCase } from '#shared/case.ts';
import css from './case-trail.module.css';

export function CaseTrail({ patientCase, here }: { patientCase: Pick<PatientCase, 'id' | 'code'>; here: string }) {
  return (
    <nav className={`small soft ${css.trail}`} aria-label="Where this page stands">
      <p>
        <Link href="/cases">Cases</Link> / <Link href={`/cases/${patientCase.id}`}>{patientCase.code}</Link> / {here}
      </p>
    </nav>
  );
}
