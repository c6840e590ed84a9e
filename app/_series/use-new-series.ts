'use client';
/** The steps from a manifest to a series that waits for its turn: look through it, send the photographs that it needs, begin. */
import { useRouter } from 'next/navigation';
import { useRef, useState } from 'react';
import { z } from 'zod';
import { sendPhoto } from '#app/_bench/send-photo.ts';
import type { DroppedFile } from '#app/_case/dropped-files.ts';
import { ask } from '#app/_parts/ask.ts';
import { idSchema } from '#shared/job.ts';
import type { SeriesOptions, SeriesSource } from '#shared/series-job.ts';
import { type DroppedSeries, droppedSeries } from './dropped-series.ts';

const lookSchema = z.object({
  words: z.string(),
  faults: z.array(z.object({ line: z.number(), message: z.string() })),
  moreFaults: z.number(),
  needed: z.array(z.string()),
});
export type Look = z.infer<typeof lookSchema>;
const begunSchema = z.object({ id: idSchema });

export function useNewSeries() {
  const router = useRouter();
  const [dropped, setDropped] = useState<DroppedSeries | null>(null);
  const [look, setLook] = useState<Look | null>(null);
  const [source, setSource] = useState<SeriesSource | null>(null);
  const [sent, setSent] = useState<Readonly<{ done: number; all: number }> | null>(null);
  const [busy, setBusy] = useState(false);
  const [fault, setFault] = useState<string | null>(null);
  /** Addresses of what was sent, so that a second try sends the rest only. */
  const known = useRef(new Map<File, string>());

  const forget = () => {
    setLook(null);
    setSource(null);
    setFault(null);
  };
  const lookAt = async (from: SeriesSource, files: readonly string[]) => {
    forget();
    setBusy(true);
    const heard = await ask(lookSchema, '/api/series/look', { method: 'POST', body: { source: from, files } });
    setBusy(false);
    if (!heard.ok) return setFault(`${heard.message} ${heard.advice}`);
    setSource(from);
    setLook(heard.value);
  };
  const lookAtDropped = async (files: readonly DroppedFile[]) => {
    forget();
    const series = droppedSeries(files);
    if (!series.ok) return setFault(series.detail);
    setDropped(series.value);
    const { manifest, photos } = series.value;
    await lookAt({ kind: 'shelf', name: manifest.name, text: await manifest.text() }, [...photos.keys()]);
  };
  /** Null when one could not be sent. */
  const send = async (needed: readonly string[]) => {
    const refs: { file: string; sha256: string }[] = [];
    for (const [k, file] of needed.entries()) {
      setSent({ done: k, all: needed.length });
      const photo = dropped?.photos.get(file);
      if (!photo) continue;
      let sha256 = known.current.get(photo);
      if (sha256 === undefined) {
        const stored = await sendPhoto(photo, () => undefined, new AbortController().signal);
        if (!stored.ok) {
          setFault(`${stored.message} ${stored.advice}`);
          return null;
        }
        sha256 = stored.value.photo.sha256;
        known.current.set(photo, sha256);
      }
      refs.push({ file, sha256 });
    }
    return refs;
  };
  const begin = async (title: string, options: SeriesOptions) => {
    if (!look || !source) return;
    setBusy(true);
    setFault(null);
    const photos = await send(look.needed);
    const begun = photos ? await ask(begunSchema, '/api/series', { method: 'POST', body: { title, source, photos, options } }) : null;
    if (begun?.ok) return router.push(`/series/${begun.value.id}`);
    if (begun) setFault(`${begun.message} ${begun.advice}`);
    setBusy(false);
    setSent(null);
  };
  return { dropped, look, sent, busy, fault, forget, lookAt, lookAtDropped, begin };
}
