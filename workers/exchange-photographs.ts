/** Photographs made ready to be handed on: upright, sRGB, JPEG Baseline, with nothing of what the camera wrote beside the picture. */

import type { PhotoSource } from '#lib/compare/types.ts';
import { encodeImage } from '#lib/photo/encode.ts';
import { withoutMetadata } from '#lib/photo/jpeg-segments.ts';
import { openPhoto } from '#lib/photo/open.ts';
import type { PhotoFault } from '#lib/photo/types.ts';
import { readJpegFrame } from '#lib/report/dicom/jpeg-frame.ts';
import type { PhotoFacts } from '#shared/comparison.ts';
import { found, type Outcome } from '#shared/outcome.ts';

/** The best quality at which colour has half the resolution, as the DICOM label YBR_FULL_422 promises. */
const QUALITY = 90;

export type ExchangeJpeg = Readonly<{ jpeg: Uint8Array; original: boolean }>;

/** The whole photograph at its full size. What is such a JPEG already keeps its pixels as they are; all else is coded anew. */
export async function exchangeJpeg({ bytes, name }: PhotoSource): Promise<Outcome<ExchangeJpeg, PhotoFault>> {
  const photo = await openPhoto(bytes, name);
  if (!photo.ok) return photo;
  const asItIs = isReady(bytes, photo.value.facts) ? withoutMetadata(bytes) : null;
  if (asItIs) return found({ jpeg: asItIs, original: true });
  const upright = await photo.value.glance(Math.max(photo.value.width, photo.value.height));
  if (!upright.ok) return upright;
  return found({ jpeg: await encodeImage(upright.value, 'jpeg', { quality: QUALITY }), original: false });
}

/** A JPEG that states no colour space is taken for sRGB, here as in the measurement. */
function isReady(bytes: Uint8Array, { format, orientation, colourProfile, colourModel }: PhotoFacts): boolean {
  if (format !== 'jpeg' || orientation !== 1 || colourModel !== 'rgb') return false;
  const frame = readJpegFrame(bytes);
  if (!frame?.baseline || frame.components !== 3) return false;
  return colourProfile === null || /\bsRGB\b/.test(colourProfile);
}
