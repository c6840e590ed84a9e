'use client';
/** A comparison that is still being measured, or was not finished. Turns into the result when it is done. */
import Link from 'next/link';
import { useRouter } from 'next/navigation';
import { useState } from 'react';
import { z } from 'zod';
import { ask } from '#app/_parts/ask.ts';
import { JobProgress } from '#app/_parts/job-progress.tsx';
import { useJobNews } from '#app/_parts/use-job-news.ts';
import { isOver, type JobNews } from '#shared/job-news.ts';

export function PendingComparison({ title, news: first }: { title: string; news: JobNews }) {
  const router = useRouter();
  const [news, setNews] = useState(first);
  useJobNews(isOver(news) ? [] : [news.id], (heard) => {
    setNews(heard);
    if (heard.state === 'done') router.refresh();
  });
  return (
    <div className="sheet">
      <h1>{title}</h1>
      {news.state === 'failed' && <p className="note stop">{news.fault?.message ?? 'The measurement failed.'}</p>}
      {news.state === 'stopped' && <p>The measurement was stopped. Nothing was kept of it.</p>}
      {news.state === 'done' && <p role="status">Measured. The result is being opened.</p>}
      {!isOver(news) && <JobProgress news={news} onStop={() => void ask(z.unknown(), `/api/jobs/${news.id}`, { method: 'DELETE' })} />}
      <p>
        <Link href="/">Back to the bench</Link>
      </p>
    </div>
  );
}
