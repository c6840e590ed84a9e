'use client';
/** Sends one part of a complaint and shows the page anew; what could not be recorded stays in the form with the reason. */
import { useRouter } from 'next/navigation';
import { useState } from 'react';
import { z } from 'zod';
import { type Answer, ask } from '#app/_parts/ask.ts';

export type Fault = Pick<Extract<Answer<unknown>, { ok: false }>, 'code' | 'message' | 'advice'>;

export function usePart(caseId: string, complaintId: string) {
  const router = useRouter();
  const [busy, setBusy] = useState(false);
  const [fault, setFault] = useState<Fault | null>(null);
  /** True when it was recorded. */
  const send = async (part: 'hear' | 'rate' | 'conclude' | 'add', body: unknown): Promise<boolean> => {
    setBusy(true);
    setFault(null);
    const sent = await ask(z.unknown(), `/api/cases/${caseId}/complaints/${complaintId}/${part}`, { method: 'POST', body });
    setBusy(false);
    if (!sent.ok) {
      setFault(sent);
      return false;
    }
    router.refresh();
    return true;
  };
  /** What was missing is being filled in; what the record refused stays until it is tried again. */
  const typing = () => setFault((was) => (was?.code === 'unfit' ? null : was));
  return { busy, fault, setFault, typing, send, refresh: router.refresh };
}
