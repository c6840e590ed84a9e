'use client';
/** Enters or edits one treatment. Saving over what another has changed meanwhile is told, and nothing typed is lost. */
import { useRouter } from 'next/navigation';
import { type FormEvent, useState } from 'react';
import { type Answer, ask } from '#app/_parts/ask.ts';
import { ZoneChoice } from '#app/_parts/zone-choice.tsx';
import { PRODUCT_CLASSES, PURPOSES, type Treatment, treatmentSchema } from '#shared/case.ts';
import type { TradeFacts, ZoneHint } from '#shared/practice.ts';
import { EnzymeFields } from './enzyme-fields.tsx';
import { FormField } from './form-field.tsx';
import { MeanwhileNote } from './meanwhile-note.tsx';
import { NumberField } from './number-field.tsx';
import { RemoveTreatment } from './remove-treatment.tsx';
import css from './treatment.module.css';
import { draftOf, emptyFields, type FieldFault, fieldsOf, type TreatmentFields } from './treatment-fields.ts';
import { TreatmentNotes } from './treatment-notes.tsx';
import { PRODUCT_WORDS, PURPOSE_WORDS } from './treatment-words.ts';
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

  const save = async (event: FormEvent) => {
    event.preventDefault();
    const said = draftOf(fields);
    setTried(true);
    setFault(null);
    if (!said.ok) return;
    setBusy(true);
    const saved = await (treatment
      ? ask(treatmentSchema, `${list}/${treatment.id}`, { method: 'POST', body: { revision, draft: said.draft } })
      : ask(treatmentSchema, list, { method: 'POST', body: said.draft }));
    if (saved.ok) {
      router.push(`/cases/${caseId}/treatments`);
      router.refresh();
      return;
    }
    setBusy(false);
    setFault(saved);
  };

  const purposeNeedsVolume = fields.purpose === 'gel-placed' || fields.purpose === 'gel-pressed-out';
  return (
    <form className={css.form} onSubmit={(event) => void save(event)} noValidate>
      <div className={css.column}>
        <section className="sheet" aria-label="What was done">
          <div className={css.grid}>
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
            <ZoneHints chosen={fields.zones} hints={hints} />
          </ZoneChoice>
        </section>
      </div>
      <div className={css.column}>
        <section className="sheet" aria-label="With what">
          {fields.purpose !== 'energy-device' && (
            <div className={css.grid}>
              <FormField label="Class of the product" help="No brand names.">
                {(wear) => (
                  <select
                    {...wear}
                    value={fields.productClass}
                    onChange={(event) => change({ productClass: event.target.value as TreatmentFields['productClass'] })}
                  >
                    <option value="">Not recorded</option>
                    {PRODUCT_CLASSES.map((product) => (
                      <option key={product} value={product}>
                        {PRODUCT_WORDS[product]}
                      </option>
                    ))}
                  </select>
                )}
              </FormField>
              {purposeNeedsVolume && (
                <NumberField
                  label={fields.purpose === 'gel-placed' ? 'Volume placed' : 'Volume pressed out'}
                  unit="mL"
                  help="Empty when not known."
                  value={fields.volumeMl}
                  onChange={(volumeMl) => change({ volumeMl })}
                  fault={faultOf('volumeMl')}
                />
              )}
              {fields.purpose === 'gel-dissolved' && (
                <NumberField
                  label="Pass in these zones"
                  help="This one included; empty to count the passes recorded here."
                  value={fields.pass}
                  onChange={(pass) => change({ pass })}
                  fault={faultOf('pass')}
                />
              )}
            </div>
          )}
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
          {fault && (
            <div className="note stop small" role="alert">
              <p>{fault.message}</p>
              {fault.advice && <p>{fault.advice}</p>}
            </div>
          )}
          {treatment && fault?.code === 'changed-meanwhile' && (
            <MeanwhileNote
              schema={treatmentSchema}
              address={`${list}/${treatment.id}`}
              onTheirs={(theirs) => {
                setFields(fieldsOf(theirs));
                setRevision(theirs.revision);
                setFault(null);
              }}
              onMine={(theirs) => {
                setRevision(theirs.revision);
                setFault(null);
              }}
            />
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
