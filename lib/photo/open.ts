/**
 * Opens a photograph: reads its facts and promises its pixels, upright and in linear light, on demand.
 *
 * Frame   upright px of the file; x right, y down; the centre of the first pixel is (0.5, 0.5).
 */
import { found, type Outcome } from '#shared/outcome.ts';
import { cutShort } from './codec-refusal.ts';
import { decodeWindow } from './decode.ts';
import { linearUpright, type StoredPixels, srgb8Upright } from './linearise.ts';
import { type Size, storedRect, turnedSize } from './orientation.ts';
import { sniffFormat } from './sniff.ts';
import { readStoredFile, readStoredHeic, type StoredPhoto } from './stored-photo.ts';
import type { Crop, OpenPhoto, PhotoFault } from './types.ts';
import { isCutShort } from './whole-file.ts';
import { clampedCrop, fitWithin, placementOf, workingSize, workingWindow } from './working-size.ts';

/**
 * Reads the header of a photograph. `name` is what the user calls it: only its last part is kept and shown. `bytes` are held,
 * not copied, for as long as the result lives.
 *
 * `glance` gives the whole picture; a place (x, y) of it is (x * width / glance.width, y * height / glance.height) of the original.
 * `develop` clamps the crop to the picture, and may stray from the scale asked for by a little (0.4 %, or 6 px of the whole width) so
 * that both axes shrink alike: use the `placement` of the result, good to 0.05 px. Throws RangeError for a scale outside 0..1
 * or a crop that misses the picture. Everything wrong with the file is a refusal; damage deep inside is found when pixels are asked for.
 */
export async function openPhoto(bytes: Uint8Array, name: string): Promise<Outcome<OpenPhoto, PhotoFault>> {
  const shown = baseName(name);
  const format = sniffFormat(bytes, shown);
  if (!format.ok) return format;
  if (isCutShort(bytes, format.value)) return cutShort(shown);
  const stored = format.value === 'heic' ? await readStoredHeic(bytes, shown) : await readStoredFile(bytes, format.value, shown);
  return stored.ok ? found(promised(stored.value, shown, await sha256Hex(bytes))) : stored;
}

function promised(stored: StoredPhoto, name: string, sha256: string): OpenPhoto {
  const { size, turn, colour, facts } = stored;
  const upright = turnedSize(size, turn);

  const pixels = async (working: Size, window: Crop): Promise<Outcome<StoredPixels, PhotoFault>> => {
    const source = await stored.source();
    return source.ok ? decodeWindow(source.value, size, turnedSize(working, turn), storedRect(window, turn, working)) : source;
  };

  return {
    name,
    sha256,
    facts,
    width: upright.width,
    height: upright.height,

    glance: async (longestPx) => {
      const working = fitWithin(upright, longestPx);
      const part = await pixels(working, { x: 0, y: 0, ...working });
      return part.ok ? found(srgb8Upright(part.value, colour, turn)) : part;
    },

    develop: async (crop, scale) => {
      if (!(scale > 0 && scale <= 1)) throw new RangeError(`the scale must be above 0 and at most 1, got ${scale}`);
      const inside = clampedCrop(crop, upright);
      if (!inside)
        throw new RangeError(
          `a crop at (${crop.x}, ${crop.y}) of ${crop.width} x ${crop.height} misses the picture of ${upright.width} x ${upright.height}`,
        );
      const working = workingSize(upright, scale);
      const window = workingWindow(inside, upright, working);
      const part = await pixels(working, window);
      if (!part.ok) return part;
      const { width, height, data } = linearUpright(part.value, colour, turn);
      const placement = placementOf(window, upright, working);
      return found({ stage: 'linear', encoding: 'linear-srgb', width, height, data, original: upright, placement, facts, name, sha256 });
    },
  };
}

/** The last part of a path, of whatever system. */
const baseName = (name: string): string => name.split(/[\\/]/).at(-1) || 'the photograph';

async function sha256Hex(bytes: Uint8Array): Promise<string> {
  const digest = await crypto.subtle.digest('SHA-256', bytes as Uint8Array<ArrayBuffer>);
  return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, '0')).join('');
}
