'use client';
/** Says that another window was first, shows field by field what differs, and asks which to keep. */
import { useEffect, useRef } from 'react';
import css from './conflict-note.module.css';

export type Difference = Readonly<{ label: string; mine: string; theirs: string }>;

type Props = { differences: readonly Difference[]; busy: boolean; onMine: () => void; onTheirs: () => void };

export function ConflictNote({ differences, busy, onMine, onTheirs }: Props) {
  const note = useRef<HTMLDivElement>(null);
  useEffect(() => note.current?.focus(), []);
  const different = differences.filter(({ mine, theirs }) => mine !== theirs);
  return (
    <div ref={note} className={`note warn ${css.conflict}`} role="alert" tabIndex={-1}>
      <p>
        <strong>This was changed in another window meanwhile.</strong> Nothing is saved yet, and what you typed is still here.
      </p>
      {different.length > 0 ? (
        <table>
          <thead>
            <tr>
              <td />
              <th scope="col">You typed</th>
              <th scope="col">Saved meanwhile</th>
            </tr>
          </thead>
          <tbody>
            {different.map(({ label, mine, theirs }) => (
              <tr key={label}>
                <th scope="row">{label}</th>
                <td>{mine || <span className="soft">empty</span>}</td>
                <td>{theirs || <span className="soft">empty</span>}</td>
              </tr>
            ))}
          </tbody>
        </table>
      ) : (
        <p>Both say the same.</p>
      )}
      <div className="row">
        <button type="button" disabled={busy} onClick={onMine}>
          Save what I typed
        </button>
        <button type="button" disabled={busy} onClick={onTheirs}>
          Load the other version
        </button>
      </div>
    </div>
  );
}
