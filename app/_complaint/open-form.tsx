'use client';
/** Opens a complaint: the day, and which two visits it is about. */
import { useRouter } from 'next/navigation';
import { type FormEvent, useState } from 'react';
import { ask } from '#app/_parts/ask.ts';
import { FormField } from '#app/_treatment/form-field.tsx';
import { complaintSchema } from '#shared/case.ts';
import css from './complaint.module.css';
import { FaultNote } from './fault-note.tsx';
import type { Fault } from './use-part.ts';

export type VisitChoice = Readonly<{ id: string; on: string; words: string; baseline: boolean }>;

/** `visits` oldest first, at least two. */
export function OpenForm({ caseId, visits, today }: { caseId: string; visits: readonly VisitChoice[]; today: string }) {
  const router = useRouter();
  const last = visits.at(-1)!;
  const [on, setOn] = useState(today);
  const [before, setBefore] = useState((visits.find(({ baseline, id }) => baseline && id !== last.id) ?? visits[0]!).id);
  const [after, setAfter] = useState(last.id);
  const [fault, setFault] = useState<Fault | null>(null);
  const [busy, setBusy] = useState(false);

  const open = async (event: FormEvent) => {
    event.preventDefault();
    setBusy(true);
    const opened = await ask(complaintSchema, `/api/cases/${caseId}/complaints`, {
      method: 'POST',
      body: { on, beforeVisit: before, afterVisit: after },
    });
    setBusy(false);
    if (opened.ok) router.push(`/cases/${caseId}/complaints/${opened.value.id}`);
    else setFault(opened);
  };
  const choice = (label: string, value: string, onChange: (id: string) => void) => (
    <FormField label={label}>
      {(wear) => (
        <select {...wear} value={value} onChange={(event) => onChange(event.target.value)}>
          {visits.map(({ id, words }) => (
            <option key={id} value={id}>
              {words}
            </option>
          ))}
        </select>
      )}
    </FormField>
  );
  return (
    <form className={`sheet ${css.part}`} onSubmit={(event) => void open(event)}>
      <div className={css.fields}>
        <FormField label="Day of the complaint">
          {(wear) => <input {...wear} type="date" required value={on} onChange={(event) => setOn(event.target.value)} />}
        </FormField>
        {choice('Looked like themselves', before, setBefore)}
        {choice('Looks different', after, setAfter)}
      </div>
      <FaultNote fault={fault} />
      <p>
        <button type="submit" className="main" disabled={busy}>
          Open the complaint
        </button>
      </p>
    </form>
  );
}
