'use client';
/** What comes next: proposals of common practice with their reasons, chosen by the practitioner. Nothing is chosen beforehand. */
import { type FormEvent, useState } from 'react';
import { FormField } from '#app/_treatment/form-field.tsx';
import type { NextProposal } from '#lib/report/complaint-next.ts';
import { COMMON_PRACTICE, NEXT_STEP_WORDS, type NextStep } from '#lib/report/complaint-words.ts';
import css from './complaint.module.css';
import { FaultNote } from './fault-note.tsx';
import { usePart } from './use-part.ts';

type Props = { caseId: string; complaintId: string; revision: number; proposals: readonly NextProposal[]; proposedDay: string };

export function ConcludeForm({ caseId, complaintId, revision, proposals, proposedDay }: Props) {
  const { busy, fault, setFault, typing, send, refresh } = usePart(caseId, complaintId);
  const [steps, setSteps] = useState<ReadonlySet<NextStep>>(new Set());
  const [reviewOn, setReviewOn] = useState('');
  const [note, setNote] = useState('');
  const toggle = (step: NextStep) =>
    setSteps((was) => {
      const next = new Set(was);
      if (!next.delete(step)) next.add(step);
      return next;
    });
  const conclude = async (event: FormEvent) => {
    event.preventDefault();
    if (steps.size === 0) return setFault({ code: 'unfit', message: 'Choose at least one step.', advice: '' });
    const chosen = proposals.map(({ step }) => step).filter((step) => steps.has(step));
    await send('conclude', { revision, part: { steps: chosen, reviewOn: reviewOn || null, note } });
  };
  return (
    <form className={`sheet ${css.part}`} onSubmit={(event) => void conclude(event)} onChange={typing} noValidate>
      <fieldset>
        <legend>What comes next</legend>
        <p className="small soft">Proposals ({COMMON_PRACTICE}); the practitioner decides.</p>
        <ul className={css.proposals}>
          {proposals.map(({ step, proposed, reasons }) => (
            <li key={step} data-proposed={proposed}>
              <label className="tick">
                <input type="checkbox" name={step} checked={steps.has(step)} onChange={() => toggle(step)} />
                <span>
                  {NEXT_STEP_WORDS[step]}
                  {proposed && <strong className={css.proposed}> proposed</strong>}
                </span>
              </label>
              <ul className="small">
                {reasons.map((reason) => (
                  <li key={reason}>{reason}</li>
                ))}
              </ul>
            </li>
          ))}
        </ul>
      </fieldset>
      <FormField label="Review on" help={`Proposed: ${proposedDay}. Empty for none.`}>
        {(wear) => (
          <>
            <input {...wear} type="date" value={reviewOn} onChange={(event) => setReviewOn(event.target.value)} />
            <button type="button" onClick={() => setReviewOn(proposedDay)}>
              Take {proposedDay}
            </button>
          </>
        )}
      </FormField>
      <FormField label="Note">
        {(wear) => <textarea {...wear} rows={3} maxLength={4000} value={note} onChange={(event) => setNote(event.target.value)} />}
      </FormField>
      <FaultNote fault={fault} onRefresh={refresh} />
      <p>
        <button type="submit" className="main" disabled={busy}>
          Conclude
        </button>
      </p>
    </form>
  );
}
