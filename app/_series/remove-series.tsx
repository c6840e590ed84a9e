'use client';
/** Takes a series away for good, after it was said twice. */
import { useRouter } from 'next/navigation';
import { useState } from 'react';
import { z } from 'zod';
import { ask } from '#app/_parts/ask.ts';
import css from './series.module.css';

export function RemoveSeries({ id, fromFolder }: { id: string; fromFolder: boolean }) {
  const router = useRouter();
  const [sure, setSure] = useState(false);
  const [fault, setFault] = useState('');
  const remove = async () => {
    const gone = await ask(z.object({ photos: z.number() }), `/api/series/${id}`, { method: 'DELETE' });
    if (gone.ok) router.push('/series');
    else setFault(`${gone.message} ${gone.advice}`);
  };
  return (
    <details className={css.quiet}>
      <summary className="small">Remove this series</summary>
      <p className="small">
        Removes its answers, tables, study and exports from this computer, for good.{' '}
        {fromFolder
          ? 'The photographs in their folder are left alone.'
          : 'Its photographs go too, unless a case or a comparison uses them.'}{' '}
        Comparisons that were opened from it stay.
      </p>
      <div className="row">
        <label className="tick">
          <input type="checkbox" checked={sure} onChange={(event) => setSure(event.target.checked)} />I no longer need it
        </label>
        <button type="button" disabled={!sure} onClick={() => void remove()}>
          Remove for good
        </button>
      </div>
      {fault && (
        <p className="note stop small" role="alert">
          {fault}
        </p>
      )}
    </details>
  );
}
