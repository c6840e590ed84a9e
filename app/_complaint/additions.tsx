'use client';
/** What was added later, and a place for more. What stands above is not changed by it. */
import { type FormEvent, useState } from 'react';
import { FormField } from '#app/_treatment/form-field.tsx';
import type { Complaint } from '#shared/case.ts';
import css from './complaint.module.css';
import { timeWords } from './complaint-times.ts';
import { FaultNote } from './fault-note.tsx';
import { usePart } from './use-part.ts';

export function Additions({ caseId, complaint: { id, additions } }: { caseId: string; complaint: Pick<Complaint, 'id' | 'additions'> }) {
  const { busy, fault, send } = usePart(caseId, id);
  const [text, setText] = useState('');
  const add = async (event: FormEvent) => {
    event.preventDefault();
    if (text.trim() && (await send('add', { text }))) setText('');
  };
  return (
    <section className={`sheet ${css.part}`} aria-labelledby="additions">
      <h2 id="additions">Additions</h2>
      {additions.length > 0 && (
        <ol className={css.additions}>
          {additions.map(({ at, by, text: said }) => (
            <li key={`${at} ${said}`}>
              <span className="small soft">
                <time dateTime={at} className="number">
                  {timeWords(at)}
                </time>
                , {by}
              </span>
              <p className={css.words}>{said}</p>
            </li>
          ))}
        </ol>
      )}
      <form onSubmit={(event) => void add(event)} className={css.part}>
        <FormField label="Add to this complaint">
          {(wear) => <textarea {...wear} rows={2} maxLength={8000} value={text} onChange={(event) => setText(event.target.value)} />}
        </FormField>
        <FaultNote fault={fault} />
        <p>
          <button type="submit" disabled={busy || !text.trim()}>
            Add
          </button>
        </p>
      </form>
    </section>
  );
}
