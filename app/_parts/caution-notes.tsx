/** What every reader of a result must know. The words of the report are lib/report's; these are the page's standing notes. */
import Link from 'next/link';
import css from './caution-notes.module.css';

export function CautionNotes() {
  return (
    <aside className={css.notes} aria-labelledby="cautions">
      <h2 id="cautions">Before you rely on it</h2>
      <ul>
        <li>It helps to document. It does not diagnose, and it is not a medical device.</li>
        <li>A measured change does not say what caused it.</li>
        <li>No measured change does not make a complaint unfounded: small or deep changes can lie below the limit that is shown with each zone.</li>
        <li>Decisions belong to a licensed practitioner, under the rules of the place.</li>
        <li className={css.urgent}>
          <strong>Sudden pain, blanching, mottling or a change of vision after an injection is an emergency.</strong> Stop, and follow the local protocol for vascular occlusion, not this program.
        </li>
        <li>Distress about appearance deserves referral, not another session.</li>
      </ul>
      <p className="small">
        <Link href="/about">What is measured, and how far to trust it</Link>
      </p>
    </aside>
  );
}
