'use client';
/** The comparisons in the record, newest first, and those being measured now. Each can be opened and removed. */
import Link from 'next/link';
import { useRouter } from 'next/navigation';
import { useState } from 'react';
import { z } from 'zod';
import { ask } from '#app/_parts/ask.ts';
import { viewLabel } from '#app/_parts/check-words.ts';
import { FindingMark, VerdictMark } from '#app/_parts/marks.tsx';
import { useJobNews } from '#app/_parts/use-job-news.ts';
import type { View } from '#shared/comparison.ts';
import { isOver } from '#shared/job-news.ts';
import css from './recent-list.module.css';

/** What a line of the list shows; a comparison's summary has all of it. */
export type RecentLine = Readonly<{
  id: string;
  title: string;
  demo: boolean;
  createdAt: string;
  comparable: boolean;
  beyondError: number;
  views: readonly string[];
}>;
export type PendingLine = Readonly<{ id: string; title: string; demo: boolean }>;

const removedSchema = z.object({ removed: z.boolean() });

export function RecentList({ comparisons, pending }: { comparisons: readonly RecentLine[]; pending: readonly PendingLine[] }) {
  const router = useRouter();
  const [sure, setSure] = useState<string | null>(null);
  const [fault, setFault] = useState<string | null>(null);
  const [shares, setShares] = useState<Readonly<Record<string, number>>>({});

  useJobNews(
    pending.map((job) => job.id),
    (news) => {
      setShares((was) => ({ ...was, [news.id]: news.fraction }));
      if (isOver(news)) router.refresh();
    },
  );

  const remove = async (id: string) => {
    const answer = await ask(removedSchema, `/api/comparisons/${id}`, { method: 'DELETE' });
    setSure(null);
    setFault(answer.ok ? null : `${answer.message} ${answer.advice}`);
    router.refresh();
  };

  if (comparisons.length === 0 && pending.length === 0) return <p className="small">Nothing has been measured yet.</p>;
  return (
    <>
      {fault && (
        <p className="note stop small" role="alert">
          {fault}
        </p>
      )}
      <ul className={css.list}>
        {pending.map((job) => (
          <li key={job.id} className={css.line}>
            <span className={css.words}>
              <Link href={`/comparison/${job.id}`} prefetch={false}>
                {job.title}
              </Link>
              {job.demo && <span className={css.demo}>demo</span>}
              <span className="soft small"> being measured</span>
            </span>
            <progress max={1} value={shares[job.id] ?? 0} aria-label={`Measured so far: ${job.title}`} />
          </li>
        ))}
        {comparisons.map((line) => (
          <li key={line.id} className={css.line}>
            <span className={css.words}>
              {line.comparable ? (
                <FindingMark finding={line.beyondError > 0 ? 'beyond-error' : 'within-error'} sign={0} />
              ) : (
                <VerdictMark verdict="refuse" />
              )}
              <span>
                <Link href={`/comparison/${line.id}`} prefetch={false}>
                  {line.title}
                </Link>
                {line.demo && <span className={css.demo}>demo</span>}
                <span className={`${css.when} small soft`}>
                  {day(line.createdAt)}: {line.views.map((view) => viewLabel(view as View).toLowerCase()).join('; ')}
                </span>
              </span>
            </span>
            <span className={`${css.result} small`}>{resultWords(line)}</span>
            {sure === line.id ? (
              <span className={css.sure}>
                <button type="button" className="small" onClick={() => void remove(line.id)}>
                  Remove for good
                </button>
                <button type="button" className="small plain" onClick={() => setSure(null)}>
                  Keep
                </button>
              </span>
            ) : (
              <button type="button" className="small plain" onClick={() => setSure(line.id)} aria-label={`Remove: ${line.title}`}>
                Remove
              </button>
            )}
          </li>
        ))}
      </ul>
    </>
  );
}

function resultWords({ comparable, beyondError }: RecentLine): string {
  if (!comparable) return 'not comparable';
  if (beyondError === 0) return 'no zone beyond error';
  return `${beyondError} ${beyondError === 1 ? 'zone' : 'zones'} beyond error`;
}

const day = (iso: string): string => iso.slice(0, 10);
