/** The quality gate of one photograph, as plain JSON. */

import type { ScaleHint } from '#lib/face/types.ts';
import { found, type Outcome } from '#shared/outcome.ts';
import { PHOTO_CHECK_SCHEMA, type PhotoCheck } from '#shared/photo-check.ts';
import { poseOf, tidy } from './describe.ts';
import { type CompareFault, sight } from './sight-all.ts';
import type { PhotoSource } from './types.ts';

export async function checkPhoto(
  source: PhotoSource,
  options: Readonly<{ scale?: ScaleHint }> = {},
): Promise<Outcome<PhotoCheck, CompareFault>> {
  const sighted = await sight(source, options.scale ?? { kind: 'iris' });
  if (!sighted.ok) return sighted;
  const face = sighted.value;
  const { scale, offsetX, offsetY } = face.photo.placement;
  const landmarksPx: number[] = [];
  for (let i = 0; i < face.landmarks.length; i += 3)
    landmarksPx.push(
      Math.round(((face.landmarks[i] + offsetX) / scale) * 10) / 10,
      Math.round(((face.landmarks[i + 1] + offsetY) / scale) * 10) / 10,
    );
  return found({
    schema: PHOTO_CHECK_SCHEMA,
    name: source.name,
    sha256: face.photo.sha256,
    facts: face.photo.facts,
    uprightPx: { ...face.photo.original },
    view: face.view,
    pose: poseOf(face),
    interpupillaryPx: tidy(face.quality.interpupillaryPx / scale),
    mmPerPx: tidy(face.scale.mmPerPx * scale),
    relU: tidy(face.scale.relU),
    scaleSource: face.scale.source,
    checks: [...face.checks],
    landmarksPx,
  });
}
