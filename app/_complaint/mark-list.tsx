'use client';
/** The marks in words: which zone each lies in, and a way to take it back. */
import css from './complaint.module.css';
import type { Mark } from './marks.tsx';

type Props = { marks: readonly Mark[]; nameAt: (mark: Mark) => string; onRemove: (index: number) => void };

export function MarkList({ marks, nameAt, onRemove }: Props) {
  if (marks.length === 0) return null;
  return (
    <ol className={css.markList} aria-label="Marks on the photograph">
      {marks.map((mark, i) => (
        <li key={`${mark.x} ${mark.y}`}>
          {nameAt(mark)}{' '}
          <button type="button" className="plain" aria-label={`Remove mark ${i + 1}`} onClick={() => onRemove(i)}>
            Remove
          </button>
        </li>
      ))}
    </ol>
  );
}
