'use client';
/** The check of one photograph, asked for and waited for: its landmarks tell which zone lies under a mark. It says nothing about change. */
import { useEffect, useState } from 'react';
import { z } from 'zod';
import { ask } from '#app/_parts/ask.ts';
import { useJobNews } from '#app/_parts/use-job-news.ts';
import { idSchema, type PhotoRef } from '#shared/job.ts';
import type { PhotoCheck } from '#shared/photo-check.ts';

/** `waiting` until it is known; `none` when there is no face to be found, so that zones are chosen by hand. */
export type PhotoKnown = Readonly<{ state: 'waiting' | 'none'; check: null }> | Readonly<{ state: 'found'; check: PhotoCheck }>;

export function usePhotoCheck({ sha256, name }: PhotoRef): PhotoKnown {
  const [job, setJob] = useState<string | null>(null);
  const [known, setKnown] = useState<PhotoKnown>({ state: 'waiting', check: null });
  useEffect(() => {
    let here = true;
    const body = { kind: 'check', photo: { sha256, name } };
    void ask(z.object({ id: idSchema }), '/api/jobs', { method: 'POST', body }).then((asked) => {
      if (!here) return;
      if (asked.ok) setJob(asked.value.id);
      else setKnown({ state: 'none', check: null });
    });
    return () => {
      here = false;
    };
  }, [sha256, name]);
  useJobNews(job && known.state === 'waiting' ? [job] : [], (news) => {
    if (news.state === 'done' && news.check) setKnown({ state: 'found', check: news.check });
    else if (news.state === 'failed' || news.state === 'stopped' || news.state === 'done') setKnown({ state: 'none', check: null });
  });
  return known;
}
