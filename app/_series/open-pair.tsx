'use client';
/** Opens a pair of the series in the comparison view, which is measured then with its pictures. */
import { useRouter } from 'next/navigation';
import { useState } from 'react';
import { z } from 'zod';
import { ask } from '#app/_parts/ask.ts';
import { idSchema } from '#shared/job.ts';

const openedSchema = z.object({ comparison: idSchema });

export function OpenPair({ series, pair, words }: { series: string; pair: string; words: string }) {
  const router = useRouter();
  const [busy, setBusy] = useState(false);
  const [fault, setFault] = useState<string | null>(null);
  const open = async () => {
    setBusy(true);
    setFault(null);
    const opened = await ask(openedSchema, `/api/series/${series}/pair`, { method: 'POST', body: { pair } });
    if (opened.ok) return router.push(`/comparison/${opened.value.comparison}`);
    setBusy(false);
    setFault(`${opened.message} ${opened.advice}`);
  };
  return (
    <>
      <button type="button" disabled={busy} onClick={() => void open()} aria-label={`Open ${words}`}>
        Open
      </button>
      {fault && (
        <p className="note stop small" role="alert">
          {fault}
        </p>
      )}
    </>
  );
}
