'use client';
/** Has every visit measured that has not been compared with the baseline; and watches those that are being measured. */
import { useRouter } from 'next/navigation';
import { useState } from 'react';
import { ask } from '#app/_parts/ask.ts';
import { useJobNews } from '#app/_parts/use-job-news.ts';
import { isOver, MOST_WATCHED } from '#shared/job-news.ts';
import { startedSchema } from './compare-visits.tsx';

export function MeasureMissing({ caseId, missing, pending }: { caseId: string; missing: number; pending: readonly string[] }) {
  const router = useRouter();
  const [said, setSaid] = useState<readonly string[]>([]);
  const [busy, setBusy] = useState(false);
  useJobNews(pending.slice(0, MOST_WATCHED), (news) => isOver(news) && router.refresh());
  const measure = async () => {
    setBusy(true);
    const asked = await ask(startedSchema, `/api/cases/${caseId}/comparisons`, { method: 'POST', body: { missing: true } });
    setSaid(asked.ok ? asked.value.refused : [`${asked.message} ${asked.advice}`]);
    setBusy(false);
    router.refresh();
  };
  return (
    <div>
      {missing > 0 && (
        <div className="row">
          <button type="button" disabled={busy} onClick={() => void measure()}>
            Measure all missing
          </button>
          <span className="small soft">
            {missing} {missing === 1 ? 'visit has' : 'visits have'} not been compared with the baseline.
          </span>
        </div>
      )}
      <p className="small" role="status">
        {pending.length > 0 ? `${pending.length} being measured.` : ''}
      </p>
      {said.map((line) => (
        <p key={line} className="note warn small" role="alert">
          {line}
        </p>
      ))}
    </div>
  );
}
