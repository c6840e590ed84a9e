'use client';
/** Fetches what somebody else saved first, and asks which of the two to keep. */
import { useEffect, useState } from 'react';
import type { z } from 'zod';
import { ask } from './ask.ts';
import { ConflictNote, type Difference } from './conflict-note.tsx';

type Props<T> = {
  schema: z.ZodType<T>;
  address: string;
  differences: (theirs: T) => readonly Difference[];
  busy: boolean;
  onTheirs: (theirs: T) => void;
  onMine: (theirs: T) => void;
};

export function MeanwhileNote<T>({ schema, address, differences, busy, onTheirs, onMine }: Props<T>) {
  const [theirs, setTheirs] = useState<T | null>(null);
  const [gone, setGone] = useState('');
  useEffect(() => {
    let here = true;
    void ask(schema, address).then((found) => {
      if (!here) return;
      if (found.ok) setTheirs(found.value);
      else setGone(found.message);
    });
    return () => {
      here = false;
    };
  }, [schema, address]);
  if (gone)
    return (
      <p className="note stop small" role="alert">
        {gone} Copy what you typed before you leave.
      </p>
    );
  if (theirs === null) return <p className="small soft">This was changed in another window meanwhile. Its version is being fetched.</p>;
  return <ConflictNote differences={differences(theirs)} busy={busy} onMine={() => onMine(theirs)} onTheirs={() => onTheirs(theirs)} />;
}
