'use client';
/** What the practice says of itself and expects of its trade. What another window saved meanwhile is told. */
import { type FormEvent, useRef, useState } from 'react';
import { type Answer, ask } from '#app/_parts/ask.ts';
import { FaultNote } from '#app/_parts/fault-note.tsx';
import { MeanwhileNote } from '#app/_parts/meanwhile-note.tsx';
import { FormField } from '#app/_treatment/form-field.tsx';
import { NumberField } from '#app/_treatment/number-field.tsx';
import { SOURCE_WORDS } from '#shared/fact-source.ts';
import { type PracticeSettings, practiceSettingsSchema, USUAL_SETTINGS } from '#shared/practice.ts';
import { HintEditor } from './hint-editor.tsx';
import css from './settings.module.css';
import { settingsDifferences } from './settings-differences.ts';
import { FACT_FIELDS, isUsual, type SettingsFields, settingsFields, settingsOf } from './settings-fields.ts';

export function SettingsForm({ settings }: { settings: PracticeSettings }) {
  const [fields, setFields] = useState<SettingsFields>(() => settingsFields(settings));
  const [revision, setRevision] = useState(settings.revision);
  const [faults, setFaults] = useState<readonly string[]>([]);
  const [fault, setFault] = useState<Extract<Answer<unknown>, { ok: false }> | null>(null);
  const [saved, setSaved] = useState(false);
  const [busy, setBusy] = useState(false);
  const added = useRef(0);
  const change = (part: Partial<SettingsFields>) => {
    setSaved(false);
    setFields((was) => ({ ...was, ...part }));
  };

  /** Over the version that the user has seen. */
  const save = async (over: number) => {
    const said = settingsOf(fields);
    setFaults(said.ok ? [] : said.faults);
    setFault(null);
    if (!said.ok) return;
    setBusy(true);
    const sent = await ask(practiceSettingsSchema, '/api/settings', { method: 'POST', body: { revision: over, settings: said.settings } });
    setBusy(false);
    if (!sent.ok) return setFault(sent);
    setRevision(sent.value.revision);
    setSaved(true);
  };
  const submit = (event: FormEvent) => {
    event.preventDefault();
    void save(revision);
  };
  const usual = () => change({ ...settingsFields(USUAL_SETTINGS), practiceName: fields.practiceName });
  return (
    <form className={css.form} onSubmit={submit} noValidate>
      <section className="sheet" aria-labelledby="practice">
        <h2 id="practice">The practice</h2>
        <FormField label="Name" help="Printed on reports; may be empty.">
          {(wear) => (
            <input
              {...wear}
              type="text"
              maxLength={120}
              size={40}
              autoComplete="organization"
              value={fields.practiceName}
              onChange={(event) => change({ practiceName: event.target.value })}
            />
          )}
        </FormField>
      </section>
      <section className="sheet" aria-labelledby="facts">
        <h2 id="facts">Facts of the trade</h2>
        <p className="small soft">
          Used in forms, on timelines and in answers to complaints, each with its mark. Published sources for them are wanting.
        </p>
        <div className={css.facts}>
          {FACT_FIELDS.map(({ key, label, unit }) => (
            <NumberField
              key={key}
              label={label}
              unit={unit}
              help={<span className={css.source}>{SOURCE_WORDS[isUsual(key, fields.facts[key]) ? 'common-practice' : 'practice']}</span>}
              value={fields.facts[key]}
              onChange={(value) => change({ facts: { ...fields.facts, [key]: value } })}
            />
          ))}
        </div>
      </section>
      <section className="sheet" aria-labelledby="hints">
        <h2 id="hints">Hints beside zones</h2>
        <div className={css.hints}>
          {fields.hints.map((hint, i) => (
            <HintEditor
              key={hint.key}
              hint={hint}
              place={i + 1}
              onChange={(changed) => change({ hints: fields.hints.map((one) => (one.key === hint.key ? changed : one)) })}
              onRemove={() => change({ hints: fields.hints.filter((one) => one.key !== hint.key) })}
            />
          ))}
        </div>
        <p>
          <button
            type="button"
            disabled={fields.hints.length >= 60}
            onClick={() => {
              added.current += 1;
              change({ hints: [...fields.hints, { key: `new ${added.current}`, zones: [], text: '', source: 'practice' }] });
            }}
          >
            Add a hint
          </button>
        </p>
      </section>
      {faults.length > 0 && (
        <div className="note stop small" role="alert">
          {faults.map((text) => (
            <p key={text}>{text}</p>
          ))}
        </div>
      )}
      {fault?.code === 'changed-meanwhile' ? (
        <MeanwhileNote
          schema={practiceSettingsSchema}
          address="/api/settings"
          differences={(theirs) => settingsDifferences(fields, settingsFields(theirs))}
          busy={busy}
          onTheirs={(theirs) => {
            setFields(settingsFields(theirs));
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
          Save the settings
        </button>
        <button type="button" onClick={usual}>
          Back to the usual facts and hints
        </button>
        <span role="status">{saved ? 'Saved.' : ''}</span>
      </p>
    </form>
  );
}
