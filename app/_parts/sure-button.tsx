'use client';
/** A button for what can't be taken back: it asks once more, and the keyboard follows the question. */
import { useEffect, useRef, useState } from 'react';

type Props = {
  /** What stands on the button, such as "Remove this treatment". */
  label: string;
  /** Of what, for whoever can't see where the button stands. */
  of?: string;
  /** What stands on the button that does it. */
  sure: string;
  onSure: () => void;
  className?: string;
};

export function SureButton({ label, of, sure, onSure, className }: Props) {
  const [asked, setAsked] = useState(false);
  const answer = useRef<HTMLButtonElement>(null);
  const first = useRef<HTMLButtonElement>(null);
  const back = useRef(false);
  useEffect(() => {
    if (asked) answer.current?.focus();
    else if (back.current) first.current?.focus();
    back.current = asked;
  }, [asked]);
  const unseen = of && <span className="unseen">: {of}</span>;
  if (!asked)
    return (
      <button ref={first} type="button" className={className} onClick={() => setAsked(true)}>
        {label}
        {unseen}
      </button>
    );
  return (
    <>
      <button
        ref={answer}
        type="button"
        className={className?.replace('plain', '').trim()}
        onClick={() => {
          setAsked(false);
          onSure();
        }}
      >
        {sure}
        {unseen}
      </button>
      <button type="button" className={className} onClick={() => setAsked(false)}>
        Keep{unseen}
      </button>
    </>
  );
}
