/**
 * Opens a photograph: reads its facts and promises its pixels, upright and in linear light, on demand.
 *
 * Frame   upright px of the file; x right, y down; the centre of the first pixel is (0.5, 0.5).
 */
import { found, type Outcome } from '#shared/outcome.ts';
import { cutShort } from './codec-refusal.ts';
import { decodeWindow, shrinksEvenlyOnLoad } from './decode.ts';
import { linearUpright, type StoredPixels, srgb8Upright } from './linearise.ts';
import { storedRect, turnedSize } from './orientation.ts';
import { clampedCrop, evenSize, fitWithin, placementOf, planOfCut, planOfWhole, type ShrinkPlan } from './shrink-plan.ts';
import { type FileFormat, sniffFormat } from './sniff.ts';
import { readStoredDicom } from './stored-dicom.ts';
import { readStoredFile, readStoredHeic, type StoredPhoto } from './stored-photo.ts';
import type { OpenPhoto, PhotoFault } from './types.ts';
import { isCutShort } from './whole-file.ts';

/**
 * Reads the header of a photograph. `name` is what the user calls it: only its last part is kept and shown. `bytes` are held,
 * not copied, for as long as the result lives.
 *
 * `glance` gives the whole picture; a place (x, y) of it is (x * width / glance.width, y * height / glance.height) of the original.
 * `develop` clamps the crop to the picture, and may give up to 24 working px more than the crop, or up to 8 less at the
 * picture's border, to keep to the scale; it strays from the scale by at most 0.2 %, for JPEGs at a third or less by at most
 * 0.5 %. The `placement` of the result says where it lies, good to 0.05 original px or 0.015 working px, whichever is more.
 * Throws RangeError for a scale outside 0..1 and for a crop that misses the picture. Everything wrong with the file is a
 * refusal; damage deep inside is found when pixels are asked for.
 */
export async function openPhoto(bytes: Uint8Array, name: string): Promise<Outcome<OpenPhoto, PhotoFault>> {
  const shown = baseName(name);
  const format = sniffFormat(bytes, shown);
  if (!format.ok) return format;
  if (isCutShort(bytes, format.value)) return cutShort(shown);
  const stored = await readStored(bytes, format.value, shown);
  return stored.ok ? found(promised(stored.value, shown, await sha256Hex(bytes))) : stored;
}

async function readStored(bytes: Uint8Array, format: FileFormat, name: string): Promise<Outcome<StoredPhoto, PhotoFault>> {
  if (format === 'heic') return readStoredHeic(bytes, name);
  return format === 'dicom' ? readStoredDicom(bytes, name) : readStoredFile(bytes, format, name);
}

/** The codec begins to shrink JPEGs while it decodes them when a third of the size is enough. */
const SHRINKS_ON_LOAD = 1 / 3;

function promised(stored: StoredPhoto, name: string, sha256: string): OpenPhoto {
  const { size, turn, colour, facts, coding } = stored;
  const upright = turnedSize(size, turn);

  const pixels = async ({ cut, working, window }: ShrinkPlan): Promise<Outcome<StoredPixels, PhotoFault>> => {
    const source = await stored.source();
    if (!source.ok) return source;
    const asStored = { cut: storedRect(cut, turn, upright), working: turnedSize(working, turn), window: storedRect(window, turn, working) };
    return decodeWindow(source.value, size, asStored);
  };

  return {
    name,
    sha256,
    facts,
    width: upright.width,
    height: upright.height,

    glance: async (longestPx) => {
      const all = { x: 0, y: 0, ...upright };
      const part = await pixels(planOfWhole(all, upright, fitWithin(upright, longestPx)));
      return part.ok ? found(srgb8Upright(part.value, colour, turn)) : part;
    },

    develop: async (crop, scale) => {
      if (!(scale > 0 && scale <= 1)) throw new RangeError(`the scale must be above 0 and at most 1, got ${scale}`);
      const inside = clampedCrop(crop, upright);
      if (!inside) throw new RangeError(`a crop at (${crop.x}, ${crop.y}) of ${crop.width} x ${crop.height} px misses the picture`);
      const shrunk = coding === 'jpeg' && scale <= SHRINKS_ON_LOAD ? evenSize(upright, scale) : null;
      const even = shrunk && shrinksEvenlyOnLoad(upright, shrunk) ? shrunk : null;
      const plan = even ? planOfWhole(inside, upright, even) : planOfCut(inside, upright, scale);
      const part = await pixels(plan);
      if (!part.ok) return part;
      const { width, height, data } = linearUpright(part.value, colour, turn);
      const placement = placementOf(plan);
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
