'use client';
/** Signs a draft: a name typed, and a word that it was read. What is refused says why, and keeps what was typed. */
import { useRouter } from 'next/navigation';
import { type FormEvent, useId, useRef, useState } from 'react';
import { ask } from '#app/_parts/ask.ts';
import { caseReportSchema } from '#shared/case.ts';
import css from './sign-report.module.css';

export function SignReport({ caseId, reportId }: { caseId: string; reportId: string }) {
  const id = useId();
  const router = useRouter();
  const [by, setBy] = useState('');
  const [read, setRead] = useState(false);
  const [busy, setBusy] = useState(false);
  const [fault, setFault] = useState('');
  const alert = useRef<HTMLParagraphElement>(null);

  const sign = async (event: FormEvent) => {
    event.preventDefault();
    setBusy(true);
    const signed = await ask(caseReportSchema, `/api/cases/${caseId}/reports/${reportId}/sign`, { method: 'POST', body: { by, read } });
    setBusy(false);
    setFault(signed.ok ? '' : `${signed.message} ${signed.advice}`);
    if (signed.ok) router.refresh();
    else alert.current?.focus();
  };

  return (
    <form className={css.form} onSubmit={(event) => void sign(event)}>
      <label className="tick">
        <input type="checkbox" required checked={read} onChange={(event) => setRead(event.target.checked)} />I have read this draft, and
        answer for it.
      </label>
      <label htmlFor={`${id}-by`}>Your name, as it is to be printed</label>
      <input id={`${id}-by`} required maxLength={120} autoComplete="name" value={by} onChange={(event) => setBy(event.target.value)} />
      <p className="small soft" id={`${id}-lock`}>
        Signing writes the report once more with your name and the time, and locks it. It can&rsquo;t be taken back: a later change makes
        the next version, which names this one.
      </p>
      <p>
        <button type="submit" className="main" disabled={busy} aria-describedby={`${id}-lock`}>
          {busy ? 'Signing\u2026' : 'Sign and lock'}
        </button>
      </p>
      <p ref={alert} tabIndex={-1} role="alert" className={fault ? 'note stop' : undefined}>
        {fault}
      </p>
    </form>
  );
}
