'use client';
/** A new case: its code, what may be known of the person, and what the patient agreed to. */
import { useRouter } from 'next/navigation';
import { type FormEvent, useId, useState } from 'react';
import { z } from 'zod';
import { ask } from '#app/_parts/ask.ts';
import { caseCodeSchema } from '#shared/case.ts';
import { idSchema } from '#shared/job.ts';
import css from './case.module.css';

const madeSchema = z.object({ id: idSchema });

export function NewCase({ proposed, today, open }: { proposed: string; today: string; open: boolean }) {
  const id = useId();
  const router = useRouter();
  const [code, setCode] = useState(proposed);
  const [name, setName] = useState('');
  const [birthYear, setBirthYear] = useState('');
  const [photographs, setPhotographs] = useState(false);
  const [research, setResearch] = useState(false);
  const [givenOn, setGivenOn] = useState(today);
  const [fault, setFault] = useState<{ message: string; advice: string } | null>(null);
  const [busy, setBusy] = useState(false);

  const make = async (event: FormEvent) => {
    event.preventDefault();
    const coded = caseCodeSchema.safeParse(code);
    if (!coded.success) return setFault({ message: coded.error.issues[0]!.message, advice: '' });
    if (birthYear !== '' && !/^(19|20)\d\d$/.test(birthYear))
      return setFault({ message: 'The year of birth has four digits, such as 1971.', advice: '' });
    setBusy(true);
    const kinds = [...(photographs ? ['photographs'] : []), ...(research ? ['research'] : [])];
    const made = await ask(madeSchema, '/api/cases', {
      method: 'POST',
      body: {
        draft: { code: coded.data, name: name.trim() || null, birthYear: birthYear === '' ? null : Number(birthYear), note: '' },
        consents: kinds.map((kind) => ({ kind, givenOn, note: '' })),
      },
    });
    if (made.ok) return router.push(photographs ? `/cases/${made.value.id}/import` : `/cases/${made.value.id}`);
    setBusy(false);
    setFault(made);
  };

  return (
    <details className={`sheet ${css.newCase}`} open={open}>
      <summary>
        <strong>New case</strong>
      </summary>
      <form className={css.form} onSubmit={(event) => void make(event)}>
        <div>
          <label htmlFor={`${id}code`}>Code</label>
          <input
            id={`${id}code`}
            value={code}
            maxLength={32}
            required
            autoComplete="off"
            spellCheck={false}
            aria-describedby={`${id}codeHelp`}
            onChange={(event) => setCode(event.target.value)}
          />
          <p id={`${id}codeHelp`} className="small soft">
            What lists, reports and exports call the person. No name in it.
          </p>
        </div>
        <fieldset aria-describedby={`${id}sealed`}>
          <legend>The person, optional</legend>
          <div className={css.pair}>
            <div>
              <label htmlFor={`${id}name`} className="small">
                Name
              </label>
              <input id={`${id}name`} value={name} maxLength={120} autoComplete="off" onChange={(event) => setName(event.target.value)} />
            </div>
            <div>
              <label htmlFor={`${id}year`} className="small">
                Year of birth
              </label>
              <input
                id={`${id}year`}
                value={birthYear}
                inputMode="numeric"
                maxLength={4}
                autoComplete="off"
                onChange={(event) => setBirthYear(event.target.value)}
              />
            </div>
          </div>
          <p id={`${id}sealed`} className="small soft">
            Both are kept sealed and are shown on the page of the case. The name is printed on a report only where you ask for it.
          </p>
        </fieldset>
        <fieldset>
          <legend>The patient agrees</legend>
          <label className="tick">
            <input type="checkbox" checked={photographs} onChange={(event) => setPhotographs(event.target.checked)} />
            that photographs are kept and measured
          </label>
          <label className="tick">
            <input type="checkbox" checked={research} onChange={(event) => setResearch(event.target.checked)} />
            that they may be used, without name, in a study
          </label>
          {(photographs || research) && (
            <div>
              <label htmlFor={`${id}given`} className="small">
                Given on
              </label>
              <input
                id={`${id}given`}
                type="date"
                required
                max={today}
                value={givenOn}
                onChange={(event) => setGivenOn(event.target.value)}
              />
            </div>
          )}
          <p className="small soft">Without the first, no photographs are taken in. It can be recorded later.</p>
        </fieldset>
        {fault && (
          <p className="note stop small" role="alert">
            {fault.message} {fault.advice}
          </p>
        )}
        <div>
          <button type="submit" className="main" disabled={busy}>
            Begin the case
          </button>
        </div>
      </form>
    </details>
  );
}
