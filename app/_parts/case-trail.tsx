/** Where a page of a case stands, with the way back to the case. */
import Link from 'next/link';
import type { PatientCase } from '#shared/case.ts';

export function CaseTrail({ patientCase, here }: { patientCase: Pick<PatientCase, 'id' | 'code'>; here: string }) {
  return (
    <nav className="small soft" aria-label="Where this page stands">
      <p>
        <Link href="/cases">Cases</Link> / <Link href={`/cases/${patientCase.id}`}>{patientCase.code}</Link> / {here}
      </p>
    </nav>
  );
}
