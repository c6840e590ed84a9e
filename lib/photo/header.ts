/**
 * The header of a picture that the codec reads: its stored size, channels, depth, profile and Exif block. A door.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { codecRefusal } from './codec-refusal.ts';
import { sharp } from './sharp.ts';
import type { FileFormat } from './sniff.ts';
import type { ColourModel } from './source-colour.ts';
import type { PhotoFault } from './types.ts';

export type Header = Readonly<{
  /** As stored, px; before any turn. */
  width: number;
  height: number;
  model: ColourModel;
  bitDepth: 8 | 16;
  hasAlpha: boolean;
  /** The embedded profile's bytes. */
  profile: Uint8Array | null;
  /** The Exif block, where the codec finds one. */
  exif: Uint8Array | undefined;
  /** The orientation the codec found, for files whose Exif cannot be parsed. */
  orientation: number | undefined;
}>;

export async function readHeader(bytes: Uint8Array, format: FileFormat, name: string): Promise<Outcome<Header, PhotoFault>> {
  try {
    const meta = await sharp(bytes, { limitInputPixels: false, failOn: 'none' }).metadata();
    const model = modelOf(meta.space);
    const bitDepth = meta.depth === 'uchar' ? 8 : meta.depth === 'ushort' ? 16 : null;
    if (!model || !bitDepth)
      return refused(
        'unsupported',
        `${name} stores its colours as ${meta.space ?? 'an unknown space'}, ${meta.depth ?? 'unknown'} numbers, which are not read here. ` +
          'Export it as RGB with 8 or 16 bits per channel.',
      );
    return found({
      width: meta.width,
      height: meta.height,
      model,
      bitDepth,
      hasAlpha: meta.hasAlpha,
      profile: meta.icc ? new Uint8Array(meta.icc) : null,
      exif: meta.exif,
      orientation: meta.orientation,
    });
  } catch (error) {
    return codecRefusal(error, format, name);
  }
}

function modelOf(space: string | undefined): ColourModel | null {
  if (space === 'srgb' || space === 'rgb' || space === 'rgb16') return 'rgb';
  if (space === 'b-w' || space === 'grey16') return 'grey';
  return space === 'cmyk' ? 'cmyk' : null;
}
