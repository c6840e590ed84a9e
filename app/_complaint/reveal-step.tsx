'use client';
/** Shows the measurement, having measured it first where that has not been done. The moment is recorded. */
import { useRouter } from 'next/navigation';
import { useState } from 'react';
import { z } from 'zod';
import { type SetUpChoice, SetUpField } from '#app/_bench/set-up-field.tsx';
import { ask } from '#app/_parts/ask.ts';
import { JobProgress } from '#app/_parts/job-progress.tsx';
import { useJobNews } from '#app/_parts/use-job-news.ts';
import { complaintSchema } from '#shared/case.ts';
import { idSchema } from '#shared/job.ts';
import { isOver, type JobNews } from '#shared/job-news.ts';
import css from './complaint.module.css';
import { FaultNote } from './fault-note.tsx';
import type { Fault } from './use-part.ts';

const answerSchema = z.union([complaintSchema, z.object({ measuring: idSchema })]);
const WAITING = { kind: 'compare', state: 'waiting', step: '', fraction: 0, stopAsked: false, fault: null, check: null } as const;

type Props = { caseId: string; complaintId: string; revision: number; setUps: readonly SetUpChoice[] };

export function RevealStep({ caseId, complaintId, revision, setUps }: Props) {
  const router = useRouter();
  const [news, setNews] = useState<JobNews | null>(null);
  const [fault, setFault] = useState<Fault | null>(null);
  const [busy, setBusy] = useState(false);
  const [setUp, setSetUp] = useState('');
  const measuring = news !== null && !isOver(news);

  const reveal = async () => {
    setBusy(true);
    setFault(null);
    const body = { revision, ...(setUp ? { setUp } : {}) };
    const shown = await ask(answerSchema, `/api/cases/${caseId}/complaints/${complaintId}/reveal`, { method: 'POST', body });
    setBusy(false);
    if (!shown.ok) return setFault(shown);
    if ('measuring' in shown.value) return setNews({ id: shown.value.measuring, ...WAITING });
    router.refresh();
  };
  useJobNews(measuring ? [news.id] : [], (heard) => {
    setNews(heard);
    if (heard.state === 'done') void reveal();
    if (heard.state === 'failed')
      setFault({
        code: 'failed',
        message: heard.fault?.message ?? 'The measurement failed.',
        advice: 'Try again, or choose other photographs of these visits.',
      });
  });
  return (
    <section className={`sheet ${css.part}`} aria-label="Show the measurement">
      <p>The patient is heard and the examiner has rated. Now the measurement of the two visits can be shown; the moment is recorded.</p>
      {setUps.length > 0 && !measuring && <SetUpField chosen={setUp} setUps={setUps} onChange={setSetUp} />}
      {measuring ? (
        <JobProgress news={news} onStop={() => void ask(z.unknown(), `/api/jobs/${news.id}`, { method: 'DELETE' })} />
      ) : (
        <p>
          <button type="button" className="main" disabled={busy} onClick={() => void reveal()}>
            Show the measurement
          </button>
        </p>
      )}
      {news?.state === 'stopped' && <p role="status">The measurement was stopped. Nothing was kept of it.</p>}
      <FaultNote fault={fault} onRefresh={router.refresh} />
    </section>
  );
}
