'use client';
/** Somebody else saved first: their version can be loaded over what is typed here, or this one kept and saved over theirs knowingly. */
import { useEffect, useState } from 'react';
import type { z } from 'zod';
import { ask } from '#app/_parts/ask.ts';

type Props<T> = { schema: z.ZodType<T>; address: string; onTheirs: (theirs: T) => void; onMine: (theirs: T) => void };

export function MeanwhileNote<T>({ schema, address, onTheirs, onMine }: Props<T>) {
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
  if (gone) return <p className="small">{gone}</p>;
  return (
    <p className="row small">
      <button type="button" disabled={theirs === null} onClick={() => theirs && onTheirs(theirs)}>
        Load the other version
      </button>
      <button type="button" disabled={theirs === null} onClick={() => theirs && onMine(theirs)}>
        Keep what I typed, to save it over the other
      </button>
    </p>
  );
}
