'use client';
/** Any two visits compared: the baseline and the newest are proposed. */
import { useRouter } from 'next/navigation';
import { useId, useState } from 'react';
import { z } from 'zod';
import { type SetUpChoice, SetUpField } from '#app/_bench/set-up-field.tsx';
import { ask } from '#app/_parts/ask.ts';
import { viewLabel } from '#app/_parts/check-words.ts';
import type { View } from '#shared/comparison.ts';
import { idSchema } from '#shared/job.ts';
import css from './case.module.css';

export const startedSchema = z.object({ ids: z.array(idSchema), refused: z.array(z.string()) });

export type VisitChoice = Readonly<{ id: string; words: string; views: readonly View[] }>;

type Props = { caseId: string; visits: readonly VisitChoice[]; before: string; after: string; setUps: readonly SetUpChoice[] };

/** `visits` are oldest first. */
export function CompareVisits({ caseId, visits, before: proposedBefore, after: proposedAfter, setUps }: Props) {
  const id = useId();
  const router = useRouter();
  const [before, setBefore] = useState(proposedBefore);
  const [after, setAfter] = useState(proposedAfter);
  const [setUp, setSetUp] = useState('');
  const [fault, setFault] = useState('');
  const [busy, setBusy] = useState(false);
  const viewsOf = (visit: string) => visits.find((one) => one.id === visit)?.views ?? [];
  const shared = viewsOf(before).filter((view) => viewsOf(after).includes(view));
  const hindrance =
    before === after
      ? 'Choose two different visits.'
      : visits.findIndex((visit) => visit.id === before) > visits.findIndex((visit) => visit.id === after)
        ? 'The first of the two must be the earlier.'
        : shared.length === 0
          ? 'These two visits show no view in common.'
          : null;
  const start = async () => {
    if (hindrance !== null || busy) return;
    setBusy(true);
    const asked = await ask(startedSchema, `/api/cases/${caseId}/comparisons`, {
      method: 'POST',
      body: { before, after, ...(setUp ? { setUp } : {}) },
    });
    setFault(asked.ok ? '' : `${asked.message} ${asked.advice}`);
    setBusy(false);
    router.refresh();
  };
  const choice = (label: string, which: string, value: string, onChange: (visit: string) => void) => (
    <div>
      <label htmlFor={`${id}${which}`} className="small">
        {label}
      </label>
      <select id={`${id}${which}`} value={value} onChange={(event) => onChange(event.target.value)}>
        {visits.map((visit) => (
          <option key={visit.id} value={visit.id}>
            {visit.words}
          </option>
        ))}
      </select>
    </div>
  );
  return (
    <div className={css.form}>
      <div className={css.pair}>
        {choice('Before', 'before', before, setBefore)}
        {choice('After', 'after', after, setAfter)}
      </div>
      {setUps.length > 0 && <SetUpField chosen={setUp} setUps={setUps} onChange={setSetUp} />}
      <div className="row">
        <button
          type="button"
          className="main"
          aria-disabled={hindrance !== null || busy}
          aria-describedby={`${id}words`}
          onClick={() => void start()}
        >
          Compare
        </button>
        <p id={`${id}words`} className="small" role="status">
          {hindrance ?? `Will be measured: ${shared.map((view) => viewLabel(view).toLowerCase()).join('; ')}.`}
        </p>
      </div>
      {fault && (
        <p className="note stop small" role="alert">
          {fault}
        </p>
      )}
    </div>
  );
}
