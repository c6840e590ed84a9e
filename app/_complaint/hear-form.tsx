'use client';
/** The patient is heard: their words, how much and how often, where they point, which earlier photograph is them. Nothing measured is near. */
import { type FormEvent, useState } from 'react';
import { ZoneChoice } from '#app/_parts/zone-choice.tsx';
import { FormField } from '#app/_treatment/form-field.tsx';
import { HOW_OFTEN_WORDS } from '#lib/report/complaint-words.ts';
import { HOW_OFTEN } from '#shared/case.ts';
import type { PhotoRef } from '#shared/job.ts';
import { zoneAt } from '#shared/zone-at.ts';
import { ZONE_IDS, type ZoneId, zoneLabel } from '#shared/zones.ts';
import { CallsMe, type EarlierPhoto } from './calls-me.tsx';
import css from './complaint.module.css';
import { FaultNote } from './fault-note.tsx';
import { MarkList } from './mark-list.tsx';
import { MarkPhoto } from './mark-photo.tsx';
import type { Mark } from './marks.tsx';
import { usePart } from './use-part.ts';
import { usePhotoCheck } from './use-photo-check.ts';

type Props = { caseId: string; complaintId: string; revision: number; photo: PhotoRef | null; earlier: readonly EarlierPhoto[] };
const SEVERITIES = Array.from({ length: 11 }, (_, n) => n);

export function HearForm({ caseId, complaintId, revision, photo, earlier }: Props) {
  const { busy, fault, setFault, typing, send, refresh } = usePart(caseId, complaintId);
  const [words, setWords] = useState('');
  const [severity, setSeverity] = useState<number | null>(null);
  const [howOften, setHowOften] = useState<(typeof HOW_OFTEN)[number] | ''>('');
  const [zones, setZones] = useState<ReadonlySet<ZoneId>>(new Set());
  const [marks, setMarks] = useState<readonly Mark[]>([]);
  const [callsMe, setCallsMe] = useState<string | null>(null);

  const hear = async (event: FormEvent) => {
    event.preventDefault();
    const missing = [
      words.trim() ? '' : 'their own words',
      severity === null ? 'how much it troubles them' : '',
      howOften ? '' : 'how often',
    ].filter(Boolean);
    if (missing.length > 0) return setFault({ code: 'unfit', message: `Still missing: ${missing.join(', ')}.`, advice: '' });
    const part = {
      words,
      severity,
      howOften,
      zones: ZONE_IDS.filter((zone) => zones.has(zone)),
      marks,
      marksOn: marks.length > 0 ? (photo?.sha256 ?? null) : null,
      callsMe,
    };
    await send('hear', { revision, part });
  };
  return (
    <form className={css.part} onSubmit={(event) => void hear(event)} onChange={typing} noValidate>
      <section className="sheet" aria-label="What the patient says">
        <FormField label="In the patient&rsquo;s own words" help="As they say it, not as it would be charted.">
          {(wear) => (
            <textarea {...wear} rows={5} maxLength={8000} required value={words} onChange={(event) => setWords(event.target.value)} />
          )}
        </FormField>
        <fieldset className={css.severity}>
          <legend>How much does it trouble them?</legend>
          <div className={css.scale}>
            {SEVERITIES.map((n) => (
              <label key={n}>
                <input type="radio" name="severity" value={n} checked={severity === n} onChange={() => setSeverity(n)} />
                <span className="number">{n}</span>
              </label>
            ))}
          </div>
          <p className={`small soft ${css.ends}`}>
            <span>0: no trouble at all</span>
            <span>10: the worst</span>
          </p>
        </fieldset>
        <FormField label="How often do they think of it?">
          {(wear) => (
            <select {...wear} value={howOften} onChange={(event) => setHowOften(event.target.value as typeof howOften)}>
              <option value="">Choose</option>
              {HOW_OFTEN.map((often) => (
                <option key={often} value={often}>
                  {capital(HOW_OFTEN_WORDS[often])}
                </option>
              ))}
            </select>
          )}
        </FormField>
      </section>
      <section className="sheet" aria-label="Where they point">
        <div className={css.pointing}>
          {photo && (
            <Pointing photo={photo} marks={marks} onMarks={setMarks} onZone={(zone) => setZones((was) => new Set([...was, zone]))} />
          )}
          <ZoneChoice
            legend="Zones they point at"
            help="A mark on the photograph ticks its zone. Left and right are the patient&rsquo;s. None is an answer too."
            chosen={zones}
            onChange={setZones}
          />
        </div>
      </section>
      {earlier.length > 0 && (
        <section className="sheet" aria-label="Earlier photographs">
          <CallsMe photos={earlier} chosen={callsMe} onChange={setCallsMe} />
        </section>
      )}
      <FaultNote fault={fault} onRefresh={refresh} />
      <p className="row">
        <button type="submit" className="main" disabled={busy}>
          Record what the patient says
        </button>
        <span className="small soft">Once recorded it is not changed any more; more can be added below it.</span>
      </p>
    </form>
  );
}

type PointingProps = { photo: PhotoRef; marks: readonly Mark[]; onMarks: (marks: readonly Mark[]) => void; onZone: (zone: ZoneId) => void };

function Pointing({ photo, marks, onMarks, onZone }: PointingProps) {
  const { state, check } = usePhotoCheck(photo);
  const zoneOf = ({ x, y }: Mark): ZoneId | null =>
    check ? zoneAt(x * check.uprightPx.width, y * check.uprightPx.height, check.landmarksPx) : null;
  const nameAt = (mark: Mark): string => {
    const zone = zoneOf(mark);
    return zone ? zoneLabel(zone) : check ? 'outside the zones' : 'zone not recognised, choose it in the list';
  };
  const put = (mark: Mark) => {
    if (marks.some(({ x, y }) => x === mark.x && y === mark.y) || marks.length >= 40) return;
    onMarks([...marks, mark]);
    const zone = zoneOf(mark);
    if (zone) onZone(zone);
  };
  // The picture is made by the check, so it is asked for when that has ended.
  if (state === 'waiting') return <p className="soft">The photograph is being prepared.</p>;
  return (
    <div>
      <MarkPhoto
        address={`/api/photos/${photo.sha256}/preview`}
        label="The patient&rsquo;s photograph: put a mark"
        marks={marks}
        onMark={put}
        nameAt={nameAt}
      />
      {state === 'none' && <p className="small soft">Zones are not recognised on this photograph; choose them in the list.</p>}
      <MarkList marks={marks} nameAt={nameAt} onRemove={(index) => onMarks(marks.filter((_, i) => i !== index))} />
    </div>
  );
}

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);
