/** What every reader of a result must know, in the words of the report. */
import Link from 'next/link';
import { STANDING_CAUTIONS } from '#shared/cautions.ts';
import css from './caution-notes.module.css';

export function CautionNotes() {
  return (
    <aside className={css.notes} aria-labelledby="cautions">
      <h2 id="cautions">Before you rely on it</h2>
      <ul>
        {STANDING_CAUTIONS.map(({ code, text }) => (
          <li key={code} className={code === 'emergency' ? css.urgent : undefined}>
            {text}
          </li>
        ))}
      </ul>
      <p className="small">
        <Link href="/about">What is measured, and how far to trust it</Link>
      </p>
    </aside>
  );
}
