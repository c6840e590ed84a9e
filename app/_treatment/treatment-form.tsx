'use client';
/** Enters or edits one treatment. Saving over what another has changed meanwhile is told, and nothing typed is lost. */
import { useRouter } from 'next/navigation';
import { type FormEvent, useState } from 'react';
import { type Answer, ask } from '#app/_parts/ask.ts';
import { FaultNote } from '#app/_parts/fault-note.tsx';
import { MeanwhileNote } from '#app/_parts/meanwhile-note.tsx';
import { ZoneChoice } from '#app/_parts/zone-choice.tsx';
import { PURPOSES, type Treatment, treatmentSchema } from '#shared/case.ts';
import type { TradeFacts, ZoneHint } from '#shared/practice.ts';
import { EnzymeFields } from './enzyme-fields.tsx';
import { FormField } from './form-field.tsx';
import { ProductFields } from './product-fields.tsx';
import { RemoveTreatment } from './remove-treatment.tsx';
import css from './treatment.module.css';
import { treatmentDifferences } from './treatment-differences.ts';
import { draftOf, emptyFields, type FieldFault, fieldsOf, type TreatmentFields } from './treatment-fields.ts';
import { TreatmentNotes } from './treatment-notes.tsx';
import { PURPOSE_WORDS } from './treatment-words.ts';
import { ZoneHints } from './zone-hints.tsx';

type Props = {
  caseId: string;
  /** To be edited; null for a new one. */
  treatment: Treatment | null;
  /** The others of the case. */
  earlier: readonly Treatment[];
  today: string;
  facts: TradeFacts;
  hints: readonly ZoneHint[];
};

export function TreatmentForm({ caseId, treatment, earlier, today, facts, hints }: Props) {
  const router = useRouter();
  const [fields, setFields] = useState<TreatmentFields>(() => (treatment ? fieldsOf(treatment) : emptyFields(today)));
  const [revision, setRevision] = useState(treatment?.revision ?? 0);
  const [tried, setTried] = useState(false);
  const [fault, setFault] = useState<Extract<Answer<unknown>, { ok: false }> | null>(null);
  const [busy, setBusy] = useState(false);
  const change = (part: Partial<TreatmentFields>) => setFields((was) => ({ ...was, ...part }));
  // Once saving was tried, what is still missing follows the typing.
  const now = tried ? draftOf(fields) : null;
  const faults: readonly FieldFault[] = now && !now.ok ? now.faults : [];
  const faultOf = (field: keyof TreatmentFields) => faults.find((one) => one.field === field)?.message;
  const list = `/api/cases/${caseId}/treatments`;

  /** Over the version that the user has seen. */
  const save = async (over: number) => {
    const said = draftOf(fields);
    setTried(true);
    setFault(null);
    if (!said.ok) return;
    setBusy(true);
    const saved = await (treatment
      ? ask(treatmentSchema, `${list}/${treatment.id}`, { method: 'POST', body: { revision: over, draft: said.draft } })
      : ask(treatmentSchema, list, { method: 'POST', body: said.draft }));
    if (saved.ok) {
      router.push(`/cases/${caseId}/treatments`);
      router.refresh();
      return;
    }
    setBusy(false);
    setFault(saved);
  };
  const submit = (event: FormEvent) => {
    event.preventDefault();
    void save(revision);
  };

  return (
    <form className={css.form} onSubmit={submit} noValidate>
      <div className={css.column}>
        <section className="sheet" aria-label="What was done">
          <div className={css.what}>
            <FormField label="Day" fault={faultOf('on')}>
              {(wear) => <input {...wear} type="date" value={fields.on} onChange={(event) => change({ on: event.target.value })} />}
            </FormField>
            <fieldset className={css.purposes}>
              <legend>Purpose</legend>
              {PURPOSES.map((purpose) => (
                <label key={purpose} className="tick">
                  <input
                    type="radio"
                    name="purpose"
                    value={purpose}
                    checked={fields.purpose === purpose}
                    onChange={() => change({ purpose })}
                  />
                  {PURPOSE_WORDS[purpose]}
                </label>
              ))}
            </fieldset>
          </div>
        </section>
        <section className="sheet" aria-label="Where">
          <ZoneChoice
            legend="Zones"
            help="Where it was done. Left and right are the patient&rsquo;s."
            chosen={fields.zones}
            onChange={(zones) => change({ zones })}
          >
            {faultOf('zones') && <p className={css.fault}>{faultOf('zones')}</p>}
            {fields.purpose !== 'energy-device' && <ZoneHints chosen={fields.zones} hints={hints} />}
          </ZoneChoice>
        </section>
      </div>
      <div className={css.column}>
        <section className="sheet" aria-label="With what">
          <ProductFields fields={fields} change={change} faultOf={faultOf} />
          {fields.purpose === 'gel-dissolved' && <EnzymeFields fields={fields} change={change} faultOf={faultOf} facts={facts} />}
          {fields.purpose === 'energy-device' && <p className="small soft">Say in the note what was used, by its kind.</p>}
        </section>
        <section className="sheet" aria-label="To be kept in mind">
          <TreatmentNotes fields={fields} earlier={earlier} facts={facts} />
        </section>
        <section className="sheet" aria-label="Note and saving">
          <FormField label="Note" fault={faultOf('note')}>
            {(wear) => (
              <textarea
                {...wear}
                rows={3}
                maxLength={4000}
                value={fields.note}
                onChange={(event) => change({ note: event.target.value })}
              />
            )}
          </FormField>
          {faults.length > 0 && (
            <div className="note stop small" role="alert">
              <p>Not saved yet: {faults.map(({ message }) => message).join(' ')}</p>
            </div>
          )}
          {treatment && fault?.code === 'changed-meanwhile' ? (
            <MeanwhileNote
              schema={treatmentSchema}
              address={`${list}/${treatment.id}`}
              differences={(theirs) => treatmentDifferences(fields, fieldsOf(theirs))}
              busy={busy}
              onTheirs={(theirs) => {
                setFields(fieldsOf(theirs));
                setRevision(theirs.revision);
                setFault(null);
              }}
              onMine={(theirs) => void save(theirs.revision)}
            />
          ) : (
            fault && <FaultNote fault={fault} />
          )}
          <p className="row">
            <button type="submit" className="main" disabled={busy}>
              Save the treatment
            </button>
            {treatment && (
              <RemoveTreatment
                address={`${list}/${treatment.id}`}
                revision={revision}
                after={`/cases/${caseId}/treatments`}
                onFault={setFault}
              />
            )}
          </p>
        </section>
      </div>
    </form>
  );
}
