'use client';
/**
 * The trays with their errands: files are sent (two at a time), checked by a job, checked again when the scale changes,
 * taken off the shelf when removed, and found again after a visit to another page of this window.
 */
import { useCallback, useEffect, useReducer, useRef, useState } from 'react';
import { z } from 'zod';
import { ask } from '#app/_parts/ask.ts';
import { useJobNews } from '#app/_parts/use-job-news.ts';
import { idSchema, type PhotoRef, photoRefSchema, type ScaleHintRequest } from '#shared/job.ts';
import { allCards, type Card, type Change, changeTrays, NO_CARDS, newCard, openJobs, type Side, type Trays } from './cards.ts';
import { sendPhoto } from './send-photo.ts';

const KEPT_UNDER = 'ebbline.trays';
const keptSchema = z.object({ before: z.array(photoRefSchema), after: z.array(photoRefSchema) });
const SENT_TOGETHER = 2;

const acceptedSchema = z.object({ id: idSchema });
const anySchema = z.unknown();

export type TrayHands = Readonly<{
  trays: Trays;
  /** False until the page has woken up in the browser and found what was in the trays before. */
  ready: boolean;
  add: (side: Side, files: readonly File[]) => void;
  remove: (key: string) => void;
  move: (key: string) => void;
  swap: () => void;
  /** Removes every photograph of both trays. */
  clear: () => void;
}>;

export function useTrays(scale: ScaleHintRequest): TrayHands {
  const [trays, change] = useReducer(changeTrays, NO_CARDS);
  const current = useRef(trays);
  useEffect(() => {
    current.current = trays;
  }, [trays]);
  const scaleNow = useRef(scale);
  const count = useRef(0);
  const queue = useRef<{ key: string; file: File }[]>([]);
  const sending = useRef(new Map<string, AbortController>());
  const [found, setFound] = useState(false);

  const check = useCallback(async (key: string, photo: PhotoRef) => {
    const hint = scaleNow.current;
    const asked = await ask(acceptedSchema, '/api/jobs', {
      method: 'POST',
      body: { kind: 'check', photo, ...(hint.kind === 'iris' ? {} : { scale: hint }) },
    });
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
          const twin = twinOf(current.current, key, sha256);
          change({ do: 'stored', key, sha256 });
          if (!twin) void check(key, { sha256, name: file.name || name });
        }
        sendNext();
      });
    }
  }, [check]);

  const add = useCallback(
    (side: Side, files: readonly File[]) => {
      const cards = files.map((file) => {
        const key = `c${++count.current}`;
        queue.current.push({ key, file });
        return newCard(key, file.name || 'pasted photograph', file.size, URL.createObjectURL(file));
      });
      change({ do: 'add', side, cards });
      sendNext();
    },
    [sendNext],
  );

  const remove = useCallback((keys: readonly string[]) => {
    const cards = allCards(current.current);
    const gone = cards.filter((card) => keys.includes(card.key));
    const kept = new Set(cards.filter((card) => !keys.includes(card.key)).map((card) => card.sha256));
    queue.current = queue.current.filter((one) => !keys.includes(one.key));
    for (const card of gone) {
      sending.current.get(card.key)?.abort();
      if (card.localUrl) URL.revokeObjectURL(card.localUrl);
      change({ do: 'remove', key: card.key });
    }
    void forget(gone.filter((card) => !kept.has(card.sha256)));
  }, []);

  useJobNews(openJobs(trays), (news) => change({ do: 'news', news }));

  useEffect(() => {
    const before = JSON.stringify(scaleNow.current);
    scaleNow.current = scale;
    if (JSON.stringify(scale) === before) return;
    for (const card of allCards(current.current)) if (card.sha256) void check(card.key, { sha256: card.sha256, name: card.name });
  }, [scale, check]);

  useEffect(() => {
    for (const [side, photos] of Object.entries(kept()) as [Side, PhotoRef[]][]) {
      const cards = photos.map((photo) => ({
        ...newCard(`c${++count.current}`, photo.name),
        stage: 'checking' as const,
        sha256: photo.sha256,
      }));
      if (cards.length === 0) continue;
      change({ do: 'add', side, cards });
      for (const card of cards) void check(card.key, { sha256: card.sha256, name: card.name });
    }
    setFound(true);
  }, [check]);

  useEffect(() => {
    if (!found) return;
    const refs = (side: Side) =>
      trays[side].flatMap((card) => (card.sha256 && card.stage !== 'refused' ? [{ sha256: card.sha256, name: card.name }] : []));
    sessionStorage.setItem(KEPT_UNDER, JSON.stringify({ before: refs('before'), after: refs('after') }));
  }, [trays, found]);

  const act = (what: Change) => change(what);
  return {
    trays,
    ready: found,
    add,
    remove: (key) => remove([key]),
    move: (key) => act({ do: 'move', key }),
    swap: () => act({ do: 'swap' }),
    clear: () => remove(allCards(trays).map((card) => card.key)),
  };
}

function twinOf(trays: Trays, key: string, sha256: string): boolean {
  return [trays.before, trays.after].some(
    (tray) => tray.some((card) => card.key === key) && tray.some((card) => card.key !== key && card.sha256 === sha256),
  );
}

/** Off the shelf, checks stopped first. The answers do not matter: a photograph that a comparison uses stays. */
async function forget(cards: readonly Card[]): Promise<void> {
  for (const { job, stage } of cards) if (job && stage === 'checking') await ask(anySchema, `/api/jobs/${job}`, { method: 'DELETE' });
  for (const sha256 of new Set(cards.map((card) => card.sha256)))
    if (sha256) await ask(anySchema, `/api/photos/${sha256}`, { method: 'DELETE' });
}

/** Hashes and names only; the photographs themselves are on the shelf. */
function kept(): Readonly<Record<Side, readonly PhotoRef[]>> {
  try {
    const parsed = keptSchema.safeParse(JSON.parse(sessionStorage.getItem(KEPT_UNDER) ?? 'null'));
    return parsed.success ? parsed.data : { before: [], after: [] };
  } catch {
    return { before: [], after: [] };
  }
}
