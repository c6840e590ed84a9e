/** The name with its sign: where the water stood (dashed), and where it stands now. */
export function Wordmark() {
  return (
    <svg width="112" height="26" viewBox="0 0 112 26" role="img" aria-label="Ebbline" focusable="false">
      <g fill="none" strokeLinecap="round">
        <path d="M1 9c4-4 7-4 11 0s7 4 11 0" stroke="currentColor" strokeWidth="1.6" strokeDasharray="2.4 3" />
        <path d="M1 18c4-4 7-4 11 0s7 4 11 0" stroke="var(--accent)" strokeWidth="2.4" />
      </g>
      <text x="32" y="19" fontSize="17" fontWeight="600" letterSpacing="0.2" fill="currentColor">
        Ebbline
      </text>
    </svg>
  );
}
