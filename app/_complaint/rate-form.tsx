'use client';
/** The examiner's own eye: fullness of each zone that the patient named, and of any other, before anything measured is shown. */
import { type FormEvent, useState } from 'react';
import { ZONE_GROUPS } from '#app/_bench/zone-groups.ts';
import { FormField } from '#app/_treatment/form-field.tsx';
import { type ExaminerGrade, GRADE_WORDS } from '#lib/report/complaint-words.ts';
import { EXAMINER_GRADES } from '#shared/case.ts';
import { type ZoneId, zoneLabel } from '#shared/zones.ts';
import css from './complaint.module.css';
import { FaultNote } from './fault-note.tsx';
import { usePart } from './use-part.ts';

type Grades = Readonly<Partial<Record<ZoneId, ExaminerGrade>>>;
type Props = { caseId: string; complaintId: string; revision: number; named: readonly ZoneId[] };

export function RateForm({ caseId, complaintId, revision, named }: Props) {
  const { busy, fault, setFault, typing, send, refresh } = usePart(caseId, complaintId);
  const [examiner, setExaminer] = useState('');
  const [grades, setGrades] = useState<Grades>({});
  const [note, setNote] = useState('');
  const grade = (zone: ZoneId, value: ExaminerGrade | '') =>
    setGrades(({ [zone]: _, ...others }) => (value === '' ? others : { ...others, [zone]: value }));

  const rate = async (event: FormEvent) => {
    event.preventDefault();
    const ungraded = named.filter((zone) => grades[zone] === undefined);
    if (ungraded.length > 0)
      return setFault({
        code: 'unfit',
        message: `Still to be graded: ${ungraded.map((zone) => zoneLabel(zone).replace(',', '')).join(', ')}.`,
        advice: '\u201cCannot say\u201d is an answer.',
      });
    if (!examiner.trim()) return setFault({ code: 'unfit', message: 'The examiner\u2019s name is missing.', advice: '' });
    await send('rate', { revision, part: { examiner, grades, note } });
  };
  const fields = (zones: readonly ZoneId[]) => (
    <div className={css.grades}>
      {zones.map((zone) => (
        <FormField key={zone} label={zoneLabel(zone)}>
          {(wear) => (
            <select
              {...wear}
              data-zone={zone}
              value={grades[zone] ?? ''}
              onChange={(event) => grade(zone, event.target.value as ExaminerGrade | '')}
            >
              <option value="">{named.includes(zone) ? 'To be graded' : 'Not graded'}</option>
              {EXAMINER_GRADES.map((one) => (
                <option key={one} value={one}>
                  {GRADE_WORDS[one]}
                </option>
              ))}
            </select>
          )}
        </FormField>
      ))}
    </div>
  );
  return (
    <form className={css.part} onSubmit={(event) => void rate(event)} onChange={typing} noValidate>
      <section className="sheet" aria-label="Grades">
        <p>Fullness of the after photographs against the before, by eye alone.</p>
        {named.length > 0 && (
          <fieldset>
            <legend>Zones the patient named</legend>
            {fields(named)}
          </fieldset>
        )}
        <details className={css.others} open={named.length === 0}>
          <summary>Other zones</summary>
          {ZONE_GROUPS.map((group) => {
            const zones = group.zones.filter((zone) => !named.includes(zone));
            return zones.length === 0 ? null : (
              <fieldset key={group.name}>
                <legend className="small">{group.name}</legend>
                {fields(zones)}
              </fieldset>
            );
          })}
        </details>
      </section>
      <section className="sheet" aria-label="Examiner">
        <FormField label="Examiner">
          {(wear) => (
            <input
              {...wear}
              type="text"
              maxLength={120}
              autoComplete="name"
              value={examiner}
              onChange={(event) => setExaminer(event.target.value)}
            />
          )}
        </FormField>
        <FormField label="Note">
          {(wear) => <textarea {...wear} rows={2} maxLength={4000} value={note} onChange={(event) => setNote(event.target.value)} />}
        </FormField>
      </section>
      <FaultNote fault={fault} onRefresh={refresh} />
      <p className="row">
        <button type="submit" className="main" disabled={busy}>
          Record the rating
        </button>
        <span className="small soft">It is recorded with its time and not changed any more. The measurement comes after it.</span>
      </p>
    </form>
  );
}
