'use client';
/** Erases a case for good, when its code is typed. */
import { useRouter } from 'next/navigation';
import { useId, useState } from 'react';
import { z } from 'zod';
import { ask } from '#app/_parts/ask.ts';
import css from './case.module.css';

const goneSchema = z.object({ photos: z.number(), comparisons: z.number(), reports: z.number() });

export function EraseCase({ caseId, code }: { caseId: string; code: string }) {
  const id = useId();
  const router = useRouter();
  const [typed, setTyped] = useState('');
  const [fault, setFault] = useState('');
  const erase = async () => {
    const gone = await ask(goneSchema, `/api/cases/${caseId}`, { method: 'DELETE' });
    if (gone.ok) router.push('/cases');
    else setFault(`${gone.message} ${gone.advice}`);
  };
  return (
    <details className={css.quiet}>
      <summary className="small">Erase this case</summary>
      <p className="small">
        Erases its photographs, results and reports from this computer, for good. Copies in backups stay. A line in the audit says that it
        was done.
      </p>
      <form
        className="row"
        onSubmit={(event) => {
          event.preventDefault();
          if (typed.trim() === code) void erase();
        }}
      >
        <label htmlFor={id} className="small">
          Type {code} to confirm
        </label>
        <input id={id} value={typed} autoComplete="off" onChange={(event) => setTyped(event.target.value)} />
        <button type="submit" aria-disabled={typed.trim() !== code}>
          Erase for good
        </button>
      </form>
      {fault && (
        <p className="note stop small" role="alert">
          {fault}
        </p>
      )}
    </details>
  );
}
