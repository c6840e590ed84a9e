'use client';
/** Removes a treatment, and asks twice. */
import { useRouter } from 'next/navigation';
import { z } from 'zod';
import { type Answer, ask } from '#app/_parts/ask.ts';
import { SureButton } from '#app/_parts/sure-button.tsx';

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
  const remove = async () => {
    const removed = await ask(z.unknown(), address, { method: 'DELETE', body: { revision } });
    if (!removed.ok) return onFault(removed);
    router.push(after);
    router.refresh();
  };
  return <SureButton label="Remove this treatment" sure="Remove for good" onSure={() => void remove()} />;
}
