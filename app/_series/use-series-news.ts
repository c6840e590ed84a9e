'use client';
/** Hears how far a series is by asking at intervals, as long as it is waited for or worked on. */
import { useEffect, useRef, useState } from 'react';
import { ask } from '#app/_parts/ask.ts';
import { type SeriesNews, seriesNewsSchema } from '#shared/series-job.ts';
import { isResting } from './series-words.ts';

const ASK_EVERY_MS = 1_200;
/** Pairs come by the second; the table below is drawn anew no more often than this. */
const REDRAW_MS = 4_000;

/** `onChange` is called when there is something new to show beside the progress itself. */
export function useSeriesNews(first: SeriesNews, onChange: () => void): [SeriesNews, (news: SeriesNews) => void] {
  const [news, setNews] = useState(first);
  const tell = useRef(onChange);
  const shown = useRef({ at: 0, key: keyOf(first) });
  const worked = useRef(!isResting(first));
  useEffect(() => {
    tell.current = onChange;
  });
  const resting = isResting(news);
  const { id } = news;

  useEffect(() => {
    const key = keyOf(news);
    const over = isResting(news);
    // Work may be over before it was first heard of: then nothing but its files is new.
    const ended = over && worked.current;
    worked.current = !over;
    if (!ended && (key === shown.current.key || (!over && performance.now() - shown.current.at < REDRAW_MS))) return;
    shown.current = { at: performance.now(), key };
    tell.current();
  }, [news]);

  useEffect(() => {
    if (resting) return;
    let closed = false;
    let timer: ReturnType<typeof setTimeout> | undefined;
    const look = async () => {
      const heard = await ask(seriesNewsSchema, `/api/series/${id}`);
      if (closed) return;
      if (heard.ok) setNews(heard.value);
      timer = setTimeout(look, ASK_EVERY_MS);
    };
    timer = setTimeout(look, ASK_EVERY_MS);
    return () => {
      closed = true;
      clearTimeout(timer);
    };
  }, [resting, id]);
  return [news, setNews];
}

const keyOf = ({ state, progress }: SeriesNews): string => `${state} ${JSON.stringify(progress?.counts ?? null)} ${progress?.step ?? ''}`;
