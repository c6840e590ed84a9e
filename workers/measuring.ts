/**
 * What the workers need of the measurement, as one small set of functions, so that commands, threads and tests are
 * handed it rather than reach for it. Loading it takes a moment; help and usage errors do without.
 */
import type { CompareFault } from '#lib/compare/sight-all.ts';
import type { ComparedPair, CompareOptions, PhotoSource } from '#lib/compare/types.ts';
import type { ScaleHint } from '#lib/face/types.ts';
import type { PhotoFault } from '#lib/photo/types.ts';
import type { Outcome } from '#shared/outcome.ts';
import type { PhotoCheck } from '#shared/photo-check.ts';

/** The longer side of the picture that shows a photograph as it was taken. */
export const PREVIEW_PX = 1600;
const PREVIEW_QUALITY = 85;

export type Measuring = Readonly<{
  checkPhoto: (source: PhotoSource, options: { scale?: ScaleHint }) => Promise<Outcome<PhotoCheck, CompareFault>>;
  comparePair: (
    before: readonly PhotoSource[],
    after: readonly PhotoSource[],
    options: CompareOptions,
  ) => Promise<Outcome<ComparedPair, CompareFault>>;
  /** The photograph upright, as an sRGB JPEG at most PREVIEW_PX long. */
  preview: (source: PhotoSource) => Promise<Outcome<Uint8Array, PhotoFault>>;
  /** When the camera says that it was taken, local time, or null. Null also when the file cannot be read. */
  takenAt: (source: PhotoSource) => Promise<string | null>;
  /** Loads models ahead of the first photograph. */
  warm: () => Promise<void>;
}>;

export async function loadMeasuring(): Promise<Measuring> {
  const [{ checkPhoto }, { comparePair }, { openPhoto }, { encodeImage }, { openEngine }] = await Promise.all([
    import('#lib/compare/check-photo.ts'),
    import('#lib/compare/compare-pair.ts'),
    import('#lib/photo/open.ts'),
    import('#lib/photo/encode.ts'),
    import('#lib/face/engine.ts'),
  ]);
  return {
    checkPhoto,
    comparePair,
    preview: async ({ bytes, name }) => {
      const photo = await openPhoto(bytes, name);
      if (!photo.ok) return photo;
      const glance = await photo.value.glance(PREVIEW_PX);
      return glance.ok ? { ok: true, value: await encodeImage(glance.value, 'jpeg', { quality: PREVIEW_QUALITY }) } : glance;
    },
    takenAt: async ({ bytes, name }) => {
      const photo = await openPhoto(bytes, name);
      return photo.ok ? photo.value.facts.takenAt : null;
    },
    warm: async () => {
      await openEngine();
    },
  };
}
