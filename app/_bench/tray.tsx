'use client';
/** One tray: drop photographs on it, choose them, or paste them while it has the focus. */
import { useId, useRef } from 'react';
import { useFileDrop } from '#app/_parts/use-file-drop.ts';
import { PHOTO_ENDINGS } from '#shared/upload.ts';
import css from './bench.module.css';
import type { Card, Side } from './cards.ts';
import { PhotoCard } from './photo-card.tsx';

type Props = {
  side: Side;
  cards: readonly Card[];
  spare: readonly Card[];
  onFiles: (files: readonly File[]) => void;
  onRemove: (key: string) => void;
  onMove: (key: string) => void;
};

const TITLE = { before: 'Before', after: 'After' } as const;

export function Tray({ side, cards, spare, onFiles, onRemove, onMove }: Props) {
  const id = useId();
  const chooser = useRef<HTMLInputElement>(null);
  const { over, handlers } = useFileDrop((transfer) => onFiles([...transfer.files]));

  return (
    <section aria-labelledby={`${id}title`} className={`${css.tray} ${over ? css.over : ''}`} data-side={side} {...handlers}>
      <div className={css.trayHead}>
        <h2 id={`${id}title`}>{TITLE[side]}</h2>
        <button type="button" onClick={() => chooser.current?.click()} aria-describedby={`${id}help`}>
          {cards.length === 0 ? 'Choose photographs' : 'Add more'}
          <span className="unseen"> ({side})</span>
        </button>
        <input
          ref={chooser}
          className="unseen"
          type="file"
          multiple
          accept={PHOTO_ENDINGS}
          tabIndex={-1}
          aria-hidden="true"
          data-side={side}
          onChange={(event) => {
            onFiles([...(event.target.files ?? [])]);
            event.target.value = '';
          }}
        />
      </div>
      {cards.length === 0 ? (
        <div className={css.empty}>
          <Silhouettes />
          <p id={`${id}help`}>Drop photographs here, paste them, or choose them: one for each view you have.</p>
          <p className="small soft">JPEG, PNG, WebP, TIFF, HEIC or DICOM, as they came from the camera.</p>
        </div>
      ) : (
        <>
          <p id={`${id}help`} className="unseen">
            One photograph for each view. Dropping and pasting work too.
          </p>
          <ul className={css.cards}>
            {cards.map((card) => (
              <PhotoCard
                key={card.key}
                card={card}
                side={side}
                spare={spare.includes(card)}
                onRemove={() => onRemove(card.key)}
                onMove={() => onMove(card.key)}
              />
            ))}
          </ul>
        </>
      )}
    </section>
  );
}

/** The views a tray can hold, as plain heads: turned, frontal, turned. */
function Silhouettes() {
  return (
    <svg className={css.heads} width="168" height="66" viewBox="0 0 168 66" aria-hidden="true" focusable="false">
      <g fill="none" stroke="currentColor" strokeWidth="1.4" strokeLinecap="round" strokeLinejoin="round">
        <path d="M36 12C25 2 9 9 9 25c0 5-5 9-4 11 1 1 3 1 3 3-1 6 1 14 7 15 4 1 7-1 9-3M15 24c2-1 4-1 6 0M12 44c2 1 4 1 6 0" />
        <path d="M84 6c-14 0-20 10-19 24 1 16 9 30 19 30s18-14 19-30C104 16 98 6 84 6zM73 27c2-1 5-1 7 0M88 27c2-1 5-1 7 0M84 29l-2 11h4M78 48c4 2 8 2 12 0" />
        <path d="M132 12c11-10 27-3 27 13 0 5 5 9 4 11-1 1-3 1-3 3 1 6-1 14-7 15-4 1-7-1-9-3M153 24c-2-1-4-1-6 0M156 44c-2 1-4 1-6 0" />
      </g>
    </svg>
  );
}
