'use client';
/** The day, label and note of a visit; and the visit taken away. */
import { useRouter } from 'next/navigation';
import { type FormEvent, useId, useState } from 'react';
import { z } from 'zod';
import { ask } from '#app/_parts/ask.ts';
import { ConflictNote } from '#app/_parts/conflict-note.tsx';
import { SureButton } from '#app/_parts/sure-button.tsx';
import { type Visit, visitSchema } from '#shared/case.ts';
import css from './case.module.css';
import { useEditing } from './use-editing.ts';

const loadedSchema = z.object({ visits: z.array(visitSchema) });
const removedSchema = z.object({ removed: z.boolean() });
type Fields = Pick<Visit, 'on' | 'label' | 'note'>;
const fieldsOf = ({ on, label, note }: Visit): Fields => ({ on, label, note });

export function VisitForm({ visit }: { visit: Visit }) {
  const id = useId();
  const router = useRouter();
  const [fields, setFields] = useState(() => fieldsOf(visit));
  const [fault, setFault] = useState('');
  const address = `/api/cases/${visit.case}/visits/${visit.id}`;
  const editing = useEditing<Visit>({
    start: visit,
    send: (revision) => ask(visitSchema, address, { method: 'POST', body: { do: 'edit', revision, draft: fields } }),
    load: async () => {
      const answer = await ask(loadedSchema, `/api/cases/${visit.case}`);
      return (answer.ok && answer.value.visits.find((one) => one.id === visit.id)) || null;
    },
    same: (a, b) => JSON.stringify(fieldsOf(a)) === JSON.stringify(fieldsOf(b)),
    fill: (version) => setFields(fieldsOf(version)),
    onSaved: () => router.refresh(),
  });
  const remove = async () => {
    const gone = await ask(removedSchema, `${address}?revision=${visit.revision}`, { method: 'DELETE' });
    setFault(gone.ok ? '' : `${gone.message} ${gone.advice}`);
    router.refresh();
  };
  const submit = (event: FormEvent) => {
    event.preventDefault();
    void editing.save();
  };
  const { theirs } = editing;
  return (
    <details className={css.quiet}>
      <summary className="small">
        Day, label and note<span className="unseen"> of {visit.on}</span>
      </summary>
      <form className={css.form} onSubmit={submit}>
        <div className={css.pair}>
          <div>
            <label htmlFor={`${id}on`} className="small">
              Day
            </label>
            <input
              id={`${id}on`}
              type="date"
              required
              value={fields.on}
              onChange={(event) => setFields({ ...fields, on: event.target.value })}
            />
          </div>
          <div>
            <label htmlFor={`${id}label`} className="small">
              Label
            </label>
            <input
              id={`${id}label`}
              maxLength={60}
              value={fields.label}
              onChange={(event) => setFields({ ...fields, label: event.target.value })}
            />
          </div>
        </div>
        <div>
          <label htmlFor={`${id}note`} className="small">
            Note
          </label>
          <textarea
            id={`${id}note`}
            rows={2}
            maxLength={4000}
            value={fields.note}
            onChange={(event) => setFields({ ...fields, note: event.target.value })}
          />
        </div>
        {theirs && (
          <ConflictNote
            differences={[
              { label: 'Day', mine: fields.on, theirs: theirs.on },
              { label: 'Label', mine: fields.label, theirs: theirs.label },
              { label: 'Note', mine: fields.note, theirs: theirs.note },
            ]}
            busy={editing.busy}
            onMine={() => void editing.keepMine()}
            onTheirs={editing.takeTheirs}
          />
        )}
        {(fault || editing.fault) && (
          <p className="note stop small" role="alert">
            {fault || `${editing.fault!.message} ${editing.fault!.advice}`}
          </p>
        )}
        <div className="row">
          <button type="submit" disabled={editing.busy}>
            Save the visit
          </button>
          <SureButton
            className="plain"
            label="Remove the visit with its photographs"
            of={visit.on}
            sure="Remove them for good"
            onSure={() => void remove()}
          />
        </div>
      </form>
    </details>
  );
}
