'use client';
/** Removes a treatment, and asks twice. */
import { useRouter } from 'next/navigation';
import { useState } from 'react';
import { z } from 'zod';
import { type Answer, ask } from '#app/_parts/ask.ts';

export function RemoveTreatment({
  address,
  revision,
  after,
  onFault,
}: {
  address: string;
  revision: number;
  after: string;
  onFault: (fault: Extract<Answer<unknown>, { ok: false }>) => void;
}) {
  const router = useRouter();
  const [sure, setSure] = useState(false);
  const remove = async () => {
    const removed = await ask(z.unknown(), address, { method: 'DELETE', body: { revision } });
    if (!removed.ok) return onFault(removed);
    router.push(after);
    router.refresh();
  };
  if (!sure)
    return (
      <button type="button" onClick={() => setSure(true)}>
        Remove this treatment
      </button>
    );
  return (
    <>
      <button type="button" onClick={() => void remove()}>
        Remove for good
      </button>
      <button type="button" className="plain" onClick={() => setSure(false)}>
        Keep it
      </button>
    </>
  );
}
