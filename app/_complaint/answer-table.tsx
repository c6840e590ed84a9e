/** The answer zone by zone: what the patient named, what the examiner graded, what was measured, and how the three agree. */
import { FindingMark } from '#app/_parts/marks.tsx';
import { ScrollRegion } from '#app/_parts/scroll-region.tsx';
import type { AnswerRow } from '#lib/report/complaint-rows.ts';
import { AGREEMENT_SHAPES, AGREEMENT_WORDS, type Agreement } from '#lib/report/complaint-words.ts';
import css from './complaint.module.css';

export function AnswerTable({ rows }: { rows: readonly AnswerRow[] }) {
  if (rows.length === 0) return <p>The patient named no zone, the examiner graded none, and none was found changed beyond error.</p>;
  return (
    <ScrollRegion label="The answer zone by zone">
      <table className={css.answer}>
        <caption>Zones the patient named first. Loss is negative; left and right are the patient&rsquo;s.</caption>
        <thead>
          <tr>
            <th scope="col">Zone</th>
            <th scope="col">Patient</th>
            <th scope="col">Examiner</th>
            <th scope="col">Measured, with 95 % interval and smallest detectable change</th>
            <th scope="col">Agreement</th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.zone} data-zone={row.zone} data-finding={row.finding}>
              <th scope="row">{row.label}</th>
              <td data-head="Patient">{row.named ? 'points here' : 'does not point here'}</td>
              <td data-head="Examiner">{row.gradeWords}</td>
              <td data-head="Measured">
                <Measured row={row} />
              </td>
              <td data-head="Agreement">
                <Agreements row={row} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </ScrollRegion>
  );
}

function Measured({ row }: { row: AnswerRow }) {
  const beyond = row.measures.find(({ id, finding }) => id === 'volumeMl' && finding === 'beyond-error');
  return (
    <>
      <span className={css.finding}>
        <FindingMark finding={row.finding} sign={beyond ? Math.sign(beyond.value) : 0} />
        {row.findingWords}
      </span>
      {row.whyNot && <span className="small"> {row.whyNot}</span>}
      {row.measures.length > 0 && (
        <ul className={css.measures}>
          {row.measures.map(({ id, label, valueText, intervalText, limitText }) => (
            <li key={id}>
              {label} <strong className="number">{valueText}</strong> <span className="number">({intervalText})</span>, detectable from{' '}
              <span className="number">{limitText}</span>
            </li>
          ))}
        </ul>
      )}
    </>
  );
}

function Agreements({ row }: { row: AnswerRow }) {
  const pairs: readonly (readonly [string, Agreement])[] = [
    ['patient and examiner', row.patientExaminer],
    ['patient and measurement', row.patientMeasurement],
    ['examiner and measurement', row.examinerMeasurement],
  ];
  return (
    <>
      <strong>{AGREEMENT_WORDS[row.overall]}</strong>
      <ul className={css.agreements}>
        {pairs.map(([who, agreement]) => (
          <li key={who}>
            <span aria-hidden="true" className={css.shape}>
              {AGREEMENT_SHAPES[agreement]}
            </span>{' '}
            {who}: {AGREEMENT_WORDS[agreement]}
          </li>
        ))}
      </ul>
    </>
  );
}
