'use client';
/**
 * Hears news of jobs: one stream of server-sent events for all of them (a browser keeps few connections to one
 * server), and plain asking at intervals where a stream does not hold.
 */
import { useEffect, useRef } from 'react';
import { z } from 'zod';
import { isOver, type JobNews, jobNewsSchema } from '#shared/job-news.ts';
import { ask } from './ask.ts';

const ASK_EVERY_MS = 700;
const newsListSchema = z.object({ jobs: z.array(jobNewsSchema) });

/** `onNews` is called with each piece of news, until every job in `ids` is over. Change `ids` at will. */
export function useJobNews(ids: readonly string[], onNews: (news: JobNews) => void): void {
  const tell = useRef(onNews);
  useEffect(() => {
    tell.current = onNews;
  });
  const key = [...ids].sort().join(',');

  useEffect(() => {
    if (key === '') return;
    let timer: ReturnType<typeof setTimeout> | undefined;
    let closed = false;
    const stream = new EventSource(`/api/jobs/events?ids=${key}`);
    const askAgain = async () => {
      const news = await ask(newsListSchema, `/api/jobs?ids=${key}`);
      if (closed) return;
      if (news.ok) for (const item of news.value.jobs) tell.current(item);
      if (!news.ok || !news.value.jobs.every(isOver)) timer = setTimeout(askAgain, ASK_EVERY_MS);
    };
    stream.onmessage = (event) => {
      const news = jobNewsSchema.safeParse(JSON.parse(event.data));
      if (news.success) tell.current(news.data);
    };
    stream.addEventListener('over', () => stream.close());
    stream.onerror = () => {
      stream.close();
      if (!closed) timer = setTimeout(askAgain, ASK_EVERY_MS);
    };
    return () => {
      closed = true;
      stream.close();
      clearTimeout(timer);
    };
  }, [key]);
}
