'use client';
/** The comparisons of a case: those being measured with how far they are, those done with what made them. */
import Link from 'next/link';
import { useRouter } from 'next/navigation';
import { useState } from 'react';
import { z } from 'zod';
import { ask } from '#app/_parts/ask.ts';
import { FindingMark, VerdictMark } from '#app/_parts/marks.tsx';
import { useJobNews } from '#app/_parts/use-job-news.ts';
import type { CaseReport } from '#shared/case.ts';
import { isOver, MOST_WATCHED } from '#shared/job-news.ts';
import css from './case.module.css';
import { startedSchema } from './compare-visits.tsx';
import { ReportButtons } from './report-buttons.tsx';

export type ResultLine = Readonly<{
  id: string;
  beforeVisit: string;
  afterVisit: string;
  /** "2026-03-01 (baseline) to 2026-03-17 (day 16)" */
  words: string;
}> &
  Readonly<
    | { state: 'done'; comparable: boolean; beyond: boolean; headline: string; madeBy: string; older: boolean }
    | { state: 'pending' }
    | { state: 'failed'; why: string }
    | { state: 'withheld'; why: string }
  >;

const anySchema = z.unknown();

type Props = { caseId: string; lines: readonly ResultLine[]; reports: readonly CaseReport[]; hasName: boolean };

export function CaseResults({ caseId, lines, reports, hasName }: Props) {
  const router = useRouter();
  const [shares, setShares] = useState<Readonly<Record<string, number>>>({});
  const [fault, setFault] = useState('');
  useJobNews(
    lines
      .filter(({ state }) => state === 'pending')
      .map(({ id }) => id)
      .slice(0, MOST_WATCHED),
    (news) => {
      setShares((was) => ({ ...was, [news.id]: news.fraction }));
      if (isOver(news)) router.refresh();
    },
  );
  const anew = async ({ beforeVisit, afterVisit }: ResultLine) => {
    const asked = await ask(startedSchema, `/api/cases/${caseId}/comparisons`, {
      method: 'POST',
      body: { before: beforeVisit, after: afterVisit, again: true },
    });
    setFault(asked.ok ? '' : `${asked.message} ${asked.advice}`);
    router.refresh();
  };
  const stop = async (id: string) => {
    await ask(anySchema, `/api/jobs/${id}`, { method: 'DELETE' });
    router.refresh();
  };
  if (lines.length === 0) return <p className="small soft">Nothing has been compared yet.</p>;
  return (
    <>
      {fault && (
        <p className="note stop small" role="alert">
          {fault}
        </p>
      )}
      <ul className={css.results}>
        {lines.map((line) => (
          <li key={line.id}>
            {line.state === 'done' && (
              <>
                <p>
                  {line.comparable ? (
                    <FindingMark finding={line.beyond ? 'beyond-error' : 'within-error'} sign={0} />
                  ) : (
                    <VerdictMark verdict="refuse" />
                  )}{' '}
                  <Link href={`/comparison/${line.id}`} prefetch={false}>
                    {line.words}
                  </Link>
                </p>
                <p className="small">{line.headline}</p>
                <p className="small soft">
                  Measured by {line.madeBy}.{' '}
                  {line.older && (
                    <>
                      <strong className={css.older}>That is an older version.</strong>{' '}
                      <button type="button" className="small" onClick={() => void anew(line)}>
                        Measure anew<span className="unseen">: {line.words}</span>
                      </button>
                    </>
                  )}
                </p>
                <details className={css.quiet}>
                  <summary className="small">
                    {reportWords(reports.filter(({ about }) => about === line.id))}
                    <span className="unseen">: {line.words}</span>
                  </summary>
                  <ReportButtons
                    caseId={caseId}
                    kinds={['comparison', 'patient-sheet']}
                    about={line.id}
                    reports={reports}
                    hasName={hasName}
                  />
                </details>
              </>
            )}
            {line.state === 'pending' && (
              <div className={css.pending}>
                <p>
                  {line.words} <span className="small soft">is being measured</span>
                </p>
                <progress max={1} value={shares[line.id] ?? 0} aria-label={`Measured so far: ${line.words}`} />
                <button type="button" className="small" onClick={() => void stop(line.id)}>
                  Stop<span className="unseen">: {line.words}</span>
                </button>
              </div>
            )}
            {line.state === 'failed' && (
              <>
                <p>
                  <VerdictMark verdict="refuse" /> {line.words}
                </p>
                <p className="small">
                  {line.why}{' '}
                  <button type="button" className="small" onClick={() => void anew(line)}>
                    Try again<span className="unseen">: {line.words}</span>
                  </button>
                </p>
              </>
            )}
            {line.state === 'withheld' && (
              <>
                <p>{line.words}</p>
                <p className="small soft">{line.why}</p>
              </>
            )}
          </li>
        ))}
      </ul>
    </>
  );
}

function reportWords(reports: readonly CaseReport[]): string {
  if (reports.length === 0) return 'Reports';
  const signed = reports.filter(({ state }) => state === 'signed').length;
  return `Reports (${reports.length}, ${signed === 0 ? 'none' : signed} signed)`;
}
