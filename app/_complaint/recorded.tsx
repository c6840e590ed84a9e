/** What is already recorded of a complaint, to be read: the patient's part, the examiner's, the conclusion. */
import { GRADE_WORDS, HOW_OFTEN_WORDS, NEXT_STEP_WORDS } from '#lib/report/complaint-words.ts';
import type { Complaint } from '#shared/case.ts';
import { ZONE_IDS, zoneLabel } from '#shared/zones.ts';
import css from './complaint.module.css';
import { timeWords } from './complaint-times.ts';
import { MarkedPicture } from './marks.tsx';

const plain = (zone: Parameters<typeof zoneLabel>[0]) => zoneLabel(zone).replace(',', '');

export function PatientSaid({ patient, callsMeWords }: { patient: NonNullable<Complaint['patient']>; callsMeWords: string | null }) {
  const { words, severity, howOften, zones, marks, marksOn } = patient.part;
  return (
    <section className="sheet" aria-labelledby="patient-said">
      <h2 id="patient-said">The patient</h2>
      <blockquote className={css.words}>{words}</blockquote>
      <div className={css.said}>
        <dl className={css.facts}>
          <dt>Trouble</dt>
          <dd className="number">{severity} of 10</dd>
          <dt>Thinks of it</dt>
          <dd>{HOW_OFTEN_WORDS[howOften]}</dd>
          <dt>Points at</dt>
          <dd>
            {zones.length === 0 ? 'no single zone' : zones.map(plain).join(', ')}
            {marks.length > 0 && (
              <span className="soft"> ({marks.length === 1 ? 'one mark' : `${marks.length} marks`} on the photograph)</span>
            )}
          </dd>
          {callsMeWords && (
            <>
              <dt>Calls &ldquo;me&rdquo;</dt>
              <dd>{callsMeWords}</dd>
            </>
          )}
        </dl>
        {marksOn && marks.length > 0 && (
          <figure>
            <MarkedPicture
              address={`/api/photos/${marksOn}/preview`}
              label="The patient&rsquo;s photograph with their marks"
              marks={marks}
            />
          </figure>
        )}
      </div>
    </section>
  );
}

export function ExaminerSaid({ examiner }: { examiner: NonNullable<Complaint['examiner']> }) {
  const { examiner: name, grades, note } = examiner.part;
  return (
    <section className="sheet" aria-labelledby="examiner-said">
      <h2 id="examiner-said">The examiner, before the measurement was shown</h2>
      <p className="small soft">
        {name}, {timeWords(examiner.at)}
      </p>
      <dl className={css.facts}>
        {ZONE_IDS.flatMap((zone) => {
          const grade = grades[zone];
          return grade ? [<GradeLine key={zone} label={plain(zone)} words={GRADE_WORDS[grade]} />] : [];
        })}
      </dl>
      {note && <p className={css.words}>{note}</p>}
    </section>
  );
}

function GradeLine({ label, words }: { label: string; words: string }) {
  return (
    <>
      <dt>{label}</dt>
      <dd>{words}</dd>
    </>
  );
}

export function Concluded({ conclusion }: { conclusion: NonNullable<Complaint['conclusion']> }) {
  const { steps, reviewOn, note } = conclusion.part;
  return (
    <section className="sheet" aria-labelledby="concluded">
      <h2 id="concluded">Concluded</h2>
      <ul>
        {steps.map((step) => (
          <li key={step}>{NEXT_STEP_WORDS[step]}</li>
        ))}
      </ul>
      <p>
        {reviewOn ? (
          <>
            Review on <span className="number">{reviewOn}</span>.
          </>
        ) : (
          'No review was set.'
        )}
      </p>
      {note && <p className={css.words}>{note}</p>}
    </section>
  );
}
