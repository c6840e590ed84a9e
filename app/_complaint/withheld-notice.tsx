/** In place of a comparison that may not be shown yet. Says nothing of what it found, nor whether it found anything. */
import Link from 'next/link';
import type { Withheld } from '#app/_server/withheld.ts';
import { WITHHELD_WORDS } from '#shared/withheld.ts';

export function WithheldNotice({ caseId, complaint }: Withheld) {
  return (
    <div className="sheet">
      <h1>Not shown yet</h1>
      <p>{WITHHELD_WORDS}</p>
      <p>
        <Link href={`/cases/${caseId}/complaints/${complaint.id}`}>To the complaint of {complaint.on}</Link>
      </p>
    </div>
  );
}
