/** Photographs made ready to be handed on: upright, sRGB, JPEG Baseline, with nothing of what the camera wrote beside the picture. */

import type { PhotoSource } from '#lib/compare/types.ts';
import { encodeImage } from '#lib/photo/encode.ts';
import { openPhoto } from '#lib/photo/open.ts';
import type { PhotoFault } from '#lib/photo/types.ts';
import { found, type Outcome } from '#shared/outcome.ts';

/** The best quality at which colour has half the resolution, as the DICOM label YBR_FULL_422 promises. */
const QUALITY = 90;

/** The whole photograph at its full size. */
export async function exchangeJpeg({ bytes, name }: PhotoSource): Promise<Outcome<Uint8Array, PhotoFault>> {
  const photo = await openPhoto(bytes, name);
  if (!photo.ok) return photo;
  const upright = await photo.value.glance(Math.max(photo.value.width, photo.value.height));
  return upright.ok ? found(await encodeImage(upright.value, 'jpeg', { quality: QUALITY })) : upright;
}
