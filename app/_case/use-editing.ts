'use client';
/**
 * Editing something that another window may edit as well. What is typed stays typed: when the other was first, the page shows what the
 * other made of it and lets the user keep either, and nothing is overwritten unseen.
 */
import { useState } from 'react';
import type { Answer } from '#app/_parts/ask.ts';

export type Editing<T extends { revision: number }> = Readonly<{
  /** What another editor saved meanwhile; null when there is no conflict. */
  theirs: T | null;
  fault: { message: string; advice: string } | null;
  busy: boolean;
  save: () => Promise<void>;
  /** Saves what was typed over theirs, which the user has seen. */
  keepMine: () => Promise<void>;
  /** Gives up what was typed. */
  takeTheirs: () => void;
}>;

type How<T> = {
  start: T;
  send: (revision: number) => Promise<Answer<T>>;
  /** Loads what is kept now; null when it is gone. */
  load: () => Promise<T | null>;
  /** Puts a version into the fields. */
  fill: (version: T) => void;
  onSaved: (version: T) => void;
  /** Whether two versions have the same fields: a change of something else, such as a photograph, is no conflict. */
  same: (a: T, b: T) => boolean;
};

export function useEditing<T extends { revision: number }>({ start, send, load, fill, onSaved, same }: How<T>): Editing<T> {
  const [base, setBase] = useState(start);
  const [theirs, setTheirs] = useState<T | null>(null);
  const [fault, setFault] = useState<Editing<T>['fault']>(null);
  const [busy, setBusy] = useState(false);

  const saveOver = async (revision: number): Promise<void> => {
    setBusy(true);
    setFault(null);
    const answer = await send(revision);
    if (answer.ok) {
      setBase(answer.value);
      setTheirs(null);
      onSaved(answer.value);
    } else if (answer.code === 'changed-meanwhile') {
      const now = await load();
      if (now && now.revision !== revision && same(now, base)) return saveOver(now.revision);
      if (now) setTheirs(now);
      else setFault({ message: 'It was removed meanwhile in another window.', advice: 'Copy what you typed before you leave.' });
    } else setFault(answer);
    setBusy(false);
  };
  return {
    theirs,
    fault,
    busy,
    save: () => saveOver(base.revision),
    keepMine: () => saveOver(theirs?.revision ?? base.revision),
    takeTheirs: () => {
      if (!theirs) return;
      fill(theirs);
      setBase(theirs);
      setTheirs(null);
      onSaved(theirs);
    },
  };
}
