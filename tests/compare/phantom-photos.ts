/** Phantom photographs as files, for tests of the whole path. */
import sharp from 'sharp';
import type { PhotoSource } from '#lib/compare/types.ts';
import { identityFrom } from '#lib/phantom/identity.ts';
import { type PairOptions, pairSpecs } from '#lib/phantom/pair.ts';
import { renderFace } from '#lib/phantom/render.ts';
import type { PhantomSpec } from '#lib/phantom/types.ts';

export async function photoOf(spec: PhantomSpec, name: string, quality = 92): Promise<PhotoSource> {
  const { raster } = renderFace(spec);
  const bytes = await sharp(raster.data, { raw: { width: raster.width, height: raster.height, channels: 3 } })
    .jpeg({ quality })
    .toBuffer();
  return { name, bytes };
}

/** Before and after of person `seed`; draft quality, the clinic's camera. */
export async function photoPair(seed: number, options: PairOptions = {}): Promise<{ before: PhotoSource; after: PhotoSource }> {
  const specs = pairSpecs({ identity: identityFrom(seed), quality: 'draft', ...options });
  return { before: await photoOf(specs.before, 'before.jpg'), after: await photoOf(specs.after, 'after.jpg') };
}
