/** Files become faces, or one refusal that names the file. */
import { sightFace } from '#lib/face/sight.ts';
import type { Face, FaceFault, ScaleHint } from '#lib/face/types.ts';
import { openPhoto } from '#lib/photo/open.ts';
import type { PhotoFault } from '#lib/photo/types.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import type { PhotoSource } from './types.ts';

export type CompareFault = PhotoFault | FaceFault | 'no-photos';

export async function sight(source: PhotoSource, hint: ScaleHint): Promise<Outcome<Face, CompareFault>> {
  const opened = await openPhoto(source.bytes, source.name);
  const face = opened.ok ? await sightFace(opened.value, hint) : opened;
  return face.ok || face.detail.includes(source.name) ? face : refused(face.why, `${source.name}: ${face.detail}`);
}

/** All of one side; decoding of one overlaps with the detection of another. */
export async function sightAll(
  sources: readonly PhotoSource[],
  side: 'before' | 'after',
  hint: ScaleHint,
): Promise<Outcome<readonly Face[], CompareFault>> {
  if (sources.length === 0) return refused('no-photos', `There is no ${side} photograph. Give at least one.`);
  const outcomes = await Promise.all(sources.map((source) => sight(source, hint)));
  const faces: Face[] = [];
  for (const outcome of outcomes) {
    if (!outcome.ok) return outcome;
    faces.push(outcome.value);
  }
  return found(faces);
}
