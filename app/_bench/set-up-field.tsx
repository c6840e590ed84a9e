'use client';
/** Where the error limits of a comparison come from: the program's validation, or repeats of one's own set-up. */
import { useId } from 'react';

/** `words` name the profile with its numbers. */
export type SetUpChoice = Readonly<{ sha256: string; words: string }>;

type Props = { chosen: string; setUps: readonly SetUpChoice[]; onChange: (sha256: string) => void };

export function SetUpField({ chosen, setUps, onChange }: Props) {
  const id = useId();
  return (
    <div>
      <label htmlFor={id}>Error limits</label>
      <select id={id} value={chosen} onChange={(event) => onChange(event.target.value)} aria-describedby={`${id}help`}>
        <option value="">of the program&rsquo;s validation</option>
        {setUps.map(({ sha256, words }) => (
          <option key={sha256} value={sha256}>
            of your set-up: {words}
          </option>
        ))}
      </select>
      <p id={`${id}help`} className="small soft">
        {setUps.length === 0 ? (
          <>
            Your camera and room may err more. Photograph people twice with nothing changed and run <code>ebbline repeat</code> on the
            folder; its profile can then be chosen here.
          </>
        ) : (
          'Choose the set-up that took both photographs.'
        )}
      </p>
    </div>
  );
}
