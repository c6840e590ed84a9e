'use client';
/** Records what the patient agreed to, or that they take it back. */
import { useRouter } from 'next/navigation';
import { type FormEvent, useId, useState } from 'react';
import { z } from 'zod';
import { ask } from '#app/_parts/ask.ts';
import type { Consent, ConsentDraft } from '#shared/case.ts';
import css from './case.module.css';
import { CONSENT_WORDS } from './consent-words.ts';

const anySchema = z.unknown();

export function ConsentForm({ caseId, kind, today }: { caseId: string; kind: ConsentDraft['kind']; today: string }) {
  return (
    <DayForm
      label="Given on"
      button={kind === 'photographs' ? 'Record consent to photographs' : 'Record consent to use in a study'}
      today={today}
      send={(on) => ask(anySchema, `/api/cases/${caseId}/consents`, { method: 'POST', body: { give: { kind, givenOn: on, note: '' } } })}
    />
  );
}

export function WithdrawForm({ caseId, consent, today }: { caseId: string; consent: Consent; today: string }) {
  return (
    <details className={css.quiet}>
      <summary className="small">
        Withdraw<span className="unseen">: {CONSENT_WORDS[consent.kind]}</span>
      </summary>
      <p className="small soft">
        {consent.kind === 'photographs'
          ? 'No further photographs are taken in from then on. Those that are there stay until you remove them or erase the case.'
          : 'The case is left out of studies from then on.'}
      </p>
      <DayForm
        label="Withdrawn on"
        button="Record the withdrawal"
        today={today}
        send={(on) => ask(anySchema, `/api/cases/${caseId}/consents`, { method: 'POST', body: { withdraw: { consent: consent.id, on } } })}
      />
    </details>
  );
}

type DayFormProps = {
  label: string;
  button: string;
  today: string;
  send: (on: string) => Promise<{ ok: true } | { ok: false; message: string; advice: string }>;
};

function DayForm({ label, button, today, send }: DayFormProps) {
  const id = useId();
  const router = useRouter();
  const [on, setOn] = useState(today);
  const [fault, setFault] = useState('');
  const submit = async (event: FormEvent) => {
    event.preventDefault();
    const done = await send(on);
    setFault(done.ok ? '' : `${done.message} ${done.advice}`);
    if (done.ok) router.refresh();
  };
  return (
    <form className="row" onSubmit={(event) => void submit(event)}>
      <label htmlFor={id} className="small">
        {label}
      </label>
      <input id={id} type="date" required max={today} value={on} onChange={(event) => setOn(event.target.value)} />
      <button type="submit">{button}</button>
      {fault && (
        <p className="note stop small" role="alert">
          {fault}
        </p>
      )}
    </form>
  );
}
