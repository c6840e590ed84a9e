'use client';
/** The case's own fields: code, name, year of birth, note. */
import { useRouter } from 'next/navigation';
import { type FormEvent, useId, useState } from 'react';
import { z } from 'zod';
import { ask } from '#app/_parts/ask.ts';
import { ConflictNote } from '#app/_parts/conflict-note.tsx';
import { caseCodeSchema, type PatientCase, patientCaseSchema } from '#shared/case.ts';
import css from './case.module.css';
import { useEditing } from './use-editing.ts';

const loadedSchema = z.object({ patientCase: patientCaseSchema });
type Fields = { code: string; name: string; birthYear: string; note: string };
const fieldsOf = ({ code, name, birthYear, note }: PatientCase): Fields => ({
  code,
  name: name ?? '',
  birthYear: birthYear === null ? '' : String(birthYear),
  note,
});
const LABELS: Readonly<Record<keyof Fields, string>> = { code: 'Code', name: 'Name', birthYear: 'Year of birth', note: 'Note' };

export function CaseForm({ patientCase }: { patientCase: PatientCase }) {
  const id = useId();
  const router = useRouter();
  const address = `/api/cases/${patientCase.id}`;
  const [fields, setFields] = useState(() => fieldsOf(patientCase));
  const [wrong, setWrong] = useState('');
  const [saved, setSaved] = useState(false);
  const editing = useEditing<PatientCase>({
    start: patientCase,
    send: (revision) =>
      ask(patientCaseSchema, address, {
        method: 'POST',
        body: {
          revision,
          draft: {
            code: fields.code.trim(),
            name: fields.name.trim() || null,
            birthYear: fields.birthYear === '' ? null : Number(fields.birthYear),
            note: fields.note,
          },
        },
      }),
    load: async () => {
      const answer = await ask(loadedSchema, address);
      return answer.ok ? answer.value.patientCase : null;
    },
    same: (a, b) => JSON.stringify(fieldsOf(a)) === JSON.stringify(fieldsOf(b)),
    fill: (version) => setFields(fieldsOf(version)),
    onSaved: () => {
      setSaved(true);
      router.refresh();
    },
  });
  const type = (part: Partial<Fields>) => {
    setSaved(false);
    setFields((was) => ({ ...was, ...part }));
  };
  const submit = (event: FormEvent) => {
    event.preventDefault();
    const coded = caseCodeSchema.safeParse(fields.code);
    if (!coded.success) return setWrong(coded.error.issues[0]!.message);
    if (fields.birthYear !== '' && !/^(19|20)\d\d$/.test(fields.birthYear))
      return setWrong('The year of birth has four digits, such as 1971.');
    setWrong('');
    void editing.save();
  };
  const { theirs } = editing;
  return (
    <form className={css.form} onSubmit={submit} aria-label="The case">
      <div className={css.triple}>
        {(['code', 'name', 'birthYear'] as const).map((field) => (
          <div key={field}>
            <label htmlFor={`${id}${field}`} className="small">
              {LABELS[field]}
            </label>
            <input
              id={`${id}${field}`}
              value={fields[field]}
              maxLength={field === 'name' ? 120 : field === 'code' ? 32 : 4}
              inputMode={field === 'birthYear' ? 'numeric' : undefined}
              autoComplete="off"
              onChange={(event) => type({ [field]: event.target.value })}
            />
          </div>
        ))}
      </div>
      <div>
        <label htmlFor={`${id}note`} className="small">
          Note
        </label>
        <textarea id={`${id}note`} rows={3} maxLength={4000} value={fields.note} onChange={(event) => type({ note: event.target.value })} />
      </div>
      {theirs && (
        <ConflictNote
          differences={(Object.keys(LABELS) as (keyof Fields)[]).map((field) => ({
            label: LABELS[field],
            mine: fields[field],
            theirs: fieldsOf(theirs)[field],
          }))}
          busy={editing.busy}
          onMine={() => void editing.keepMine()}
          onTheirs={editing.takeTheirs}
        />
      )}
      {(wrong || editing.fault) && (
        <p className="note stop small" role="alert">
          {wrong || `${editing.fault!.message} ${editing.fault!.advice}`}
        </p>
      )}
      <div className="row">
        <button type="submit" disabled={editing.busy}>
          Save
        </button>
        <span role="status" className="small soft">
          {saved ? 'Saved.' : ''}
        </span>
      </div>
    </form>
  );
}
