/** Small signs that differ in shape as well as colour, so that nothing is told by colour alone. Always beside a word. */
import type { Finding } from '#shared/comparison.ts';

type Verdict = 'pass' | 'caution' | 'refuse';

export function VerdictMark({ verdict }: { verdict: Verdict }) {
  return (
    <svg width="16" height="16" viewBox="0 0 16 16" aria-hidden="true" focusable="false">
      {verdict === 'pass' && <path d="M3 8.5l3.2 3.2L13 4.8" fill="none" stroke="var(--held)" strokeWidth="2" />}
      {verdict === 'caution' && (
        <>
          <path d="M8 1.5L15 14H1z" fill="none" stroke="var(--warn)" strokeWidth="1.6" strokeLinejoin="round" />
          <path d="M8 6v4M8 11.4v1.4" stroke="var(--warn)" strokeWidth="1.6" />
        </>
      )}
      {verdict === 'refuse' && (
        <>
          <rect x="1.5" y="1.5" width="13" height="13" fill="var(--stop)" />
          <path d="M5 5l6 6M11 5l-6 6" stroke="var(--sheet)" strokeWidth="1.8" />
        </>
      )}
    </svg>
  );
}

/** Loss: a full triangle pointing down. Gain: up. Beyond error without direction: a full diamond. Within: an open ring. Not assessable: hatching. */
export function FindingMark({ finding, sign }: { finding: Finding; sign: number }) {
  return (
    <svg width="16" height="16" viewBox="0 0 16 16" aria-hidden="true" focusable="false">
      {finding === 'beyond-error' && sign < 0 && <path d="M1.5 3h13L8 14z" fill="var(--loss)" />}
      {finding === 'beyond-error' && sign > 0 && <path d="M1.5 13h13L8 2z" fill="var(--gain)" />}
      {finding === 'beyond-error' && sign === 0 && <path d="M8 1.5L14.5 8 8 14.5 1.5 8z" fill="var(--ink)" />}
      {finding === 'within-error' && <circle cx="8" cy="8" r="4.6" fill="none" stroke="var(--ink-soft)" strokeWidth="1.8" />}
      {finding === 'not-assessable' && (
        <g stroke="var(--ink-soft)" strokeWidth="1.3" fill="none">
          <rect x="2.5" y="2.5" width="11" height="11" strokeDasharray="2 1.6" />
          <path d="M3 9l6-6M4 13l9-9M8 13l5-5" />
        </g>
      )}
    </svg>
  );
}
