/**
 * The door by which pixels come in: a part of a picture, shrunk by the codec, in the file's own coding and lie.
 *
 * The codec averages in the file's coding (as JPEG's own shrinking does), before anything is made linear. A JPEG is
 * shrunk while it is decoded only when that divides both sides: otherwise the codec counts the padding of the last block
 * as picture, which moves everything by up to some px.
 */
import { found, type Outcome } from '#shared/outcome.ts';
import { codecRefusal, isHarmless } from './codec-refusal.ts';
import type { StoredPixels } from './linearise.ts';
import type { Size } from './orientation.ts';
import { sharp } from './sharp.ts';
import type { ShrinkPlan } from './shrink-plan.ts';
import type { FileFormat } from './sniff.ts';
import type { PhotoFault } from './types.ts';

/** More pixels than this are refused before anything is decoded: 200 megapixels. */
export const MOST_PIXELS = 200e6;

/** What pixels are taken from: a file the codec reads, or pixels that another decoder made. */
export type PixelSource = Readonly<{ format: FileFormat; name: string }> &
  (
    | Readonly<{
        kind: 'file';
        bytes: Uint8Array;
        /** 16 bits per value come out, otherwise 8. */
        deep: boolean;
        grey: boolean;
        hasAlpha: boolean;
        /** Convert to 8-bit sRGB on the way, by the embedded profile or the codec's own for print colours. */
        toSrgb: boolean;
      }>
    | Readonly<{ kind: 'pixels'; pixels: StoredPixels }>
  );

/**
 * From which complaint on the codec gives up. Damage to the pixels of a JPEG is a mere warning to it; in the other formats damage is an
 * error, and warnings are about what is written beside the pixels.
 */
type Strictness = 'warning' | 'error' | 'truncated';

/** A plan turned into the stored picture's lie. */
export type StoredPlan = Pick<ShrinkPlan, 'cut' | 'working' | 'window'>;

/** What stands behind half-transparent pixels: a neutral middle. */
const MID_GREY = { r: 128, g: 128, b: 128 };

/**
 * The pixels of a plan's window, in the stored picture's own lie; `size` is the whole stored size and the plan is in stored px.
 * Refuses damaged and cut files.
 */
export async function decodeWindow(source: PixelSource, size: Size, plan: StoredPlan): Promise<Outcome<StoredPixels, PhotoFault>> {
  let pixels: StoredPixels;
  try {
    pixels = await run(source, size, plan, source.format === 'jpeg' ? 'warning' : 'error').catch((error: unknown) => {
      if (isHarmless(error)) return run(source, size, plan, 'truncated');
      throw error;
    });
  } catch (error) {
    return codecRefusal(error, source.format, source.name);
  }
  const { width, height, channels } = pixels;
  if (width !== plan.window.width || height !== plan.window.height || (channels !== 1 && channels !== 3))
    throw new Error(`the codec gave ${width} x ${height} x ${channels} where ${plan.window.width} x ${plan.window.height} was asked for`);
  return found(pixels);
}

async function run(source: PixelSource, size: Size, { cut, working, window }: StoredPlan, failOn: Strictness): Promise<StoredPixels> {
  const deep = source.kind === 'file' ? source.deep : source.pixels.data instanceof Uint16Array;
  const grey = source.kind === 'file' ? source.grey : source.pixels.channels === 1;
  let pipeline = opened(source, failOn);
  const shrinks = working.width !== cut.width || working.height !== cut.height;
  const part = cut.width !== size.width || cut.height !== size.height;
  // A cut ahead of the shrinking, even of everything, is what keeps the codec from shrinking on load.
  if (part || (shrinks && !shrinksEvenlyOnLoad(size, working)))
    pipeline = pipeline.extract({ left: cut.x, top: cut.y, width: cut.width, height: cut.height });
  if (shrinks)
    pipeline = pipeline.resize({
      width: working.width,
      height: working.height,
      fit: 'fill',
      kernel: 'lanczos3',
      fastShrinkOnLoad: source.format === 'jpeg',
    });
  if (window.width !== working.width || window.height !== working.height)
    pipeline = pipeline.extract({ left: window.x, top: window.y, width: window.width, height: window.height });
  if (deep) pipeline = pipeline.toColourspace(grey ? 'grey16' : 'rgb16');
  const { data, info } = await pipeline.raw({ depth: deep ? 'ushort' : 'uchar' }).toBuffer({ resolveWithObject: true });
  const values = deep
    ? new Uint16Array(data.buffer, data.byteOffset, data.byteLength / 2)
    : new Uint8Array(data.buffer, data.byteOffset, data.byteLength);
  return { width: info.width, height: info.height, channels: info.channels as 1 | 3, data: values };
}

function opened(source: PixelSource, failOn: Strictness) {
  if (source.kind === 'pixels') {
    const { data, width, height, channels } = source.pixels;
    return sharp(data, { limitInputPixels: MOST_PIXELS, raw: { width, height, channels } });
  }
  const file = sharp(source.bytes, { failOn, limitInputPixels: MOST_PIXELS, ignoreIcc: !source.toSrgb });
  return source.hasAlpha ? file.flatten({ background: MID_GREY }) : file;
}

/** Whether the largest power of two by which the codec may shrink a whole JPEG on load (at most 8) divides both sides. */
export function shrinksEvenlyOnLoad(size: Size, working: Size): boolean {
  const shrink = Math.min(size.width / working.width, size.height / working.height);
  const most = 2 ** Math.min(3, Math.floor(Math.log2(shrink)));
  return size.width % most === 0 && size.height % most === 0;
}
