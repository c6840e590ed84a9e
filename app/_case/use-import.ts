'use client';
/**
 * The import with its errands: files are sent (two at a time) and each is checked by a job at once. What is on the shelf but not yet in the
 * case is remembered by its hashes in this browser, so that closing the page, or a crash, loses nothing.
 */
import { useCallback, useEffect, useReducer, useRef, useState } from 'react';
import { z } from 'zod';
import { sendPhoto } from '#app/_bench/send-photo.ts';
import { ask } from '#app/_parts/ask.ts';
import { useJobNews } from '#app/_parts/use-job-news.ts';
import { idSchema, sha256Schema } from '#shared/job.ts';
import { MOST_WATCHED } from '#shared/job-news.ts';
import { canBePhoto } from './dropped-files.ts';
import { changeImport, type ImportChange, type Importing, newImportCard, openImportJobs } from './import-cards.ts';

const SENT_TOGETHER = 2;
const keptSchema = z.array(z.object({ sha256: sha256Schema, on: z.string().nullable() }));
const photoSchema = z.object({ photo: z.object({ sha256: sha256Schema, name: z.string() }) });
const acceptedSchema = z.object({ id: idSchema });
const anySchema = z.unknown();

export type ImportHands = Readonly<{
  cards: Importing;
  /** False until the page has woken up and found what waited. */
  ready: boolean;
  /** Files chosen that are no photographs by their names. */
  strange: number;
  add: (files: readonly File[]) => void;
  change: (change: ImportChange) => void;
  /** Off the list, and off the shelf unless something else uses them. */
  discard: (keys: readonly string[]) => void;
  /** Off the list: they are in the case now. */
  settle: (keys: readonly string[]) => void;
}>;

/** `inCase`: hashes of the photographs the case has already. */
export function useImport(caseId: string, inCase: ReadonlySet<string>): ImportHands {
  const keptUnder = `ebbline.import.${caseId}`;
  const [cards, change] = useReducer(changeImport, []);
  const [ready, setReady] = useState(false);
  const [strange, setStrange] = useState(0);
  const current = useRef(cards);
  useEffect(() => {
    current.current = cards;
  }, [cards]);
  const count = useRef(0);
  const queue = useRef<{ key: string; file: File }[]>([]);
  const sending = useRef(new Map<string, AbortController>());
  const known = useRef(inCase);
  known.current = inCase;

  const check = useCallback(async (key: string, photo: { sha256: string; name: string }) => {
    const asked = await ask(acceptedSchema, '/api/jobs', { method: 'POST', body: { kind: 'check', photo } });
    change(asked.ok ? { do: 'asked', key, job: asked.value.id } : { do: 'refuse', key, fault: asked });
  }, []);

  const sendNext = useCallback(() => {
    while (sending.current.size < SENT_TOGETHER && queue.current.length > 0) {
      const { key, file } = queue.current.shift()!;
      const stop = new AbortController();
      sending.current.set(key, stop);
      change({ do: 'sending', key, share: 0 });
      void sendPhoto(file, (share) => change({ do: 'sending', key, share }), stop.signal).then((sent) => {
        sending.current.delete(key);
        if (!sent.ok) change({ do: 'refuse', key, fault: sent });
        else {
          const { sha256, name } = sent.value.photo;
          const twin = known.current.has(sha256) || current.current.some((card) => card.key !== key && card.sha256 === sha256);
          change({ do: 'stored', key, sha256, inCase: known.current.has(sha256) });
          if (!twin) void check(key, { sha256, name: file.name || name });
        }
        sendNext();
      });
    }
  }, [check]);

  const add = useCallback(
    (files: readonly File[]) => {
      const photos = files.filter(canBePhoto);
      setStrange((was) => was + files.length - photos.length);
      const added = photos.map((file) => {
        const key = `i${++count.current}`;
        queue.current.push({ key, file });
        return newImportCard(key, file.name);
      });
      change({ do: 'add', cards: added });
      sendNext();
    },
    [sendNext],
  );

  // A browser watches a few at a time; the next ones are watched as these end.
  useJobNews(openImportJobs(cards).slice(0, MOST_WATCHED), (news) => change({ do: 'news', news }));

  useEffect(() => {
    const waiting = keptSchema.safeParse(JSON.parse(localStorage.getItem(keptUnder) ?? '[]'));
    const found = (waiting.success ? waiting.data : []).filter(({ sha256 }) => !known.current.has(sha256));
    void Promise.all(found.map(async ({ sha256, on }) => ({ on, answer: await ask(photoSchema, `/api/photos/${sha256}`) }))).then(
      (answers) => {
        for (const { on, answer } of answers) {
          if (!answer.ok) continue;
          const { sha256, name } = answer.value.photo;
          const key = `i${++count.current}`;
          change({ do: 'add', cards: [newImportCard(key, name, { stage: 'checking', sha256, on })] });
          void check(key, { sha256, name });
        }
        setReady(true);
      },
    );
  }, [keptUnder, check]);

  useEffect(() => {
    if (!ready) return;
    const waiting = cards.flatMap(({ sha256, twin, on }) => (sha256 && !twin ? [{ sha256, on }] : []));
    localStorage.setItem(keptUnder, JSON.stringify(waiting));
  }, [cards, ready, keptUnder]);

  const drop = (keys: readonly string[]) => {
    queue.current = queue.current.filter(({ key }) => !keys.includes(key));
    for (const key of keys) sending.current.get(key)?.abort();
    change({ do: 'remove', keys });
  };
  return {
    cards,
    ready,
    strange,
    add,
    change,
    settle: drop,
    discard: (keys) => {
      const gone = current.current.filter(({ key, twin, sha256 }) => keys.includes(key) && !twin && sha256);
      drop(keys);
      void (async () => {
        for (const { job, stage } of gone) if (job && stage === 'checking') await ask(anySchema, `/api/jobs/${job}`, { method: 'DELETE' });
        for (const { sha256 } of gone) await ask(anySchema, `/api/photos/${sha256}`, { method: 'DELETE' });
      })();
    },
  };
}
