'use client';
/** The pictures and fields of one view, loaded as they are needed and let go when the view changes. */
import { useEffect, useState } from 'react';
import type { View } from '#shared/comparison.ts';
import { DISPLACEMENT_STEP_MM, LIGHTNESS_STEP } from '#shared/plate-fields.ts';
import type { PlateInfo, PlatePart } from '#shared/plates.ts';
import { loadBytes, loadField, loadInfo, loadPicture } from './plate-file.ts';

/** How the pictures are shown: the files, the after carried into the before's frame, and that under the before's light. */
export type Look = 'taken' | 'aligned' | 'relit';
export type Pictures = Readonly<{ before: ImageBitmap; after: ImageBitmap }>;
export type Fields = Readonly<{ displacementMm: Float32Array; lightness: Float32Array; zoneIndex: Int8Array; trust: Uint8Array }>;

const PARTS: Readonly<Record<Look, readonly [PlatePart, PlatePart]>> = {
  taken: ['beforeAsTaken', 'afterAsTaken'],
  aligned: ['before', 'afterAligned'],
  relit: ['before', 'afterRelit'],
};

type Loaded<T> = Readonly<{ key: string; value: T | null; failed: boolean }>;

/** Null while it loads. */
export function usePictures(id: string, view: View, look: Look): { pictures: Pictures | null; failed: boolean } {
  const loaded = useLoaded(`${id} ${view} ${look}`, async (signal) => {
    const [before, after] = await Promise.all(PARTS[look].map((part) => loadPicture({ id, view }, part, signal)));
    return { before: before!, after: after! };
  });
  return { pictures: loaded.value, failed: loaded.failed };
}

/** Null while it loads, and where the pair was not measured. */
export function usePlateInfo(id: string, view: View, measured: boolean): PlateInfo | null {
  return useLoaded(measured ? `${id} ${view}` : null, (signal) => loadInfo({ id, view }, signal)).value;
}

export function usePlateFields(id: string, view: View, measured: boolean): Fields | null {
  return useLoaded(measured ? `${id} ${view}` : null, async (signal) => {
    const address = { id, view };
    const [displacementMm, lightness, zones, trust] = await Promise.all([
      loadField(address, 'displacement', DISPLACEMENT_STEP_MM, signal),
      loadField(address, 'lightness', LIGHTNESS_STEP, signal),
      loadBytes(address, 'zones', signal),
      loadBytes(address, 'trust', signal),
    ]);
    return { displacementMm, lightness, zoneIndex: new Int8Array(zones.buffer, zones.byteOffset, zones.length), trust };
  }).value;
}

/** Loads again whenever `key` changes; what an older key loads is thrown away. */
export function useLoaded<T>(key: string | null, load: (signal: AbortSignal) => Promise<T>): Loaded<T> {
  const [loaded, setLoaded] = useState<Loaded<T>>({ key: '', value: null, failed: false });
  // biome-ignore lint/correctness/useExhaustiveDependencies: `load` is named by its key
  useEffect(() => {
    if (key === null) return;
    const stop = new AbortController();
    load(stop.signal)
      .then((value) => stop.signal.aborted || setLoaded({ key, value, failed: false }))
      .catch(() => stop.signal.aborted || setLoaded({ key, value: null, failed: true }));
    return () => stop.abort();
  }, [key]);
  return key !== null && loaded.key === key ? loaded : { key: key ?? '', value: null, failed: false };
}
