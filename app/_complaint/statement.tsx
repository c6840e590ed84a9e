/** The generated statement, what overrides first. */
import type { StatementPart } from '#lib/report/complaint-statement.ts';

export function Statement({ parts }: { parts: readonly StatementPart[] }) {
  return (
    <section className="sheet" aria-labelledby="statement">
      <h2 id="statement">What can be said</h2>
      {parts.map(({ about, text }) => (
        <p
          key={text}
          className={about === 'trust' ? 'note stop' : about === 'early' ? 'note warn' : about === 'limits' ? 'small soft' : undefined}
        >
          {text}
        </p>
      ))}
    </section>
  );
}
