/** The audit, newest first, and whether its chain holds. */
import type { Metadata } from 'next';
import Link from 'next/link';
import trail from '#app/_parts/case-trail.module.css';
import { VerdictMark } from '#app/_parts/marks.tsx';
import { ScrollRegion } from '#app/_parts/scroll-region.tsx';
import { record } from '#app/_server/record.ts';
import { actionWords, factWords, short } from '#app/_settings/audit-words.ts';
import css from '#app/_settings/settings.module.css';

export const metadata: Metadata = { title: 'Audit' };

const ON_A_PAGE = 100;

export default async function Audit({ searchParams }: { searchParams: Promise<{ before?: string }> }) {
  const asked = Number((await searchParams).before);
  const before = Number.isInteger(asked) && asked > 1 ? asked : undefined;
  const [lines, chain] = await Promise.all([
    record().audit.lines({ limit: ON_A_PAGE, ...(before === undefined ? {} : { before }) }),
    record().audit.verify(),
  ]);
  const last = lines.at(-1)?.n ?? 1;
  return (
    <>
      <nav className={`small soft ${trail.trail}`} aria-label="Where this page stands">
        <p>
          <Link href="/settings">Settings</Link> / Audit
        </p>
      </nav>
      <h1>Audit</h1>
      {chain.ok ? (
        <p className={css.verdict}>
          <VerdictMark verdict="pass" />
          <span>
            The chain of {chain.lines} {chain.lines === 1 ? 'line' : 'lines'} holds
            {chain.outside === 'agrees'
              ? ', and the head kept beside it agrees.'
              : '. No head is kept beside it, so lines cut off at the end would not show.'}
          </span>
        </p>
      ) : (
        <p className="note stop" role="alert">
          The chain is broken at line {chain.firstBad}: {chain.why}
        </p>
      )}
      <p className="small soft">
        Head:{' '}
        <span className="mono">
          {chain.lines}:{chain.head}
        </span>
        . Note it down elsewhere now and then; <code>ebbline audit verify --head</code> with it holds the record against it.
      </p>
      {lines.length === 0 ? (
        <p>No line is written yet.</p>
      ) : (
        <ScrollRegion label="Lines of the audit">
          <table className={css.lines}>
            <thead>
              <tr>
                <th scope="col" className="number">
                  Line
                </th>
                <th scope="col">When (UTC)</th>
                <th scope="col">Who</th>
                <th scope="col">Did</th>
                <th scope="col">What</th>
                <th scope="col">Case</th>
                <th scope="col">Facts</th>
              </tr>
            </thead>
            <tbody>
              {lines.map(({ n, at, actor, action, what, id, case: caseId, facts }) => (
                <tr key={n}>
                  <td className="number">{n}</td>
                  <td className={css.when}>{`${at.slice(0, 10)} ${at.slice(11, 19)}`}</td>
                  <td>{actor}</td>
                  <td>{actionWords(action)}</td>
                  <td>
                    {what.replaceAll('-', ' ')} <span className="mono soft">{short(id)}</span>
                  </td>
                  <td>{caseId && <Link href={`/cases/${caseId}`}>{short(caseId)}</Link>}</td>
                  <td className={css.facts}>{factWords(facts)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </ScrollRegion>
      )}
      <p className="row">
        {before !== undefined && <Link href="/settings/audit">Newest lines</Link>}
        {last > 1 && <Link href={`/settings/audit?before=${last}`}>Older lines</Link>}
      </p>
    </>
  );
}
