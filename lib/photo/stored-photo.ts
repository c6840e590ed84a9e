/**
 * A photograph as it lies in its file: size, turn, colours and facts are known; where its pixels come from is a promise.
 */
import type { PhotoFacts } from '#shared/comparison.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { MOST_PIXELS, type PixelSource } from './decode.ts';
import { bareExif, type ExifFacts, readExifFacts } from './exif-facts.ts';
import { readHeader } from './header.ts';
import { decodeHeic, readHeicSize } from './heic.ts';
import { readHeicColour } from './heic-colour.ts';
import { readHeicExif } from './heic-exif.ts';
import { readIccProfile } from './icc-profile.ts';
import { asOrientation, type Size, type Turn, turnedSize, turnOf } from './orientation.ts';
import type { FileFormat } from './sniff.ts';
import { type SourceColour, sourceColour } from './source-colour.ts';
import type { PhotoFault } from './types.ts';

export type StoredPhoto = Readonly<{
  /** As stored, px. */
  size: Size;
  turn: Turn;
  colour: SourceColour;
  facts: PhotoFacts;
  /** How the pixels are coded, also where they lie inside another file. */
  coding: FileFormat;
  source: () => Promise<Outcome<PixelSource, PhotoFault>>;
}>;

/** Sides shorter than this show no face that could be measured. */
const FEWEST_PX = 64;

/** JPEG, PNG, WebP and TIFF, which the codec reads piece by piece. */
export async function readStoredFile(
  bytes: Uint8Array,
  format: Exclude<FileFormat, 'heic' | 'dicom'>,
  name: string,
): Promise<Outcome<StoredPhoto, PhotoFault>> {
  const header = await readHeader(bytes, format, name);
  if (!header.ok) return header;
  const { width, height, model, bitDepth, hasAlpha, profile, orientation } = header.value;
  const unfit = sizeRefusal({ width, height }, name);
  if (unfit) return unfit;
  const exif = await readExifFacts(format === 'tiff' ? bytes : bareExif(header.value.exif));
  const upright = exif.orientation === 1 ? asOrientation(orientation) : exif.orientation;
  const colour = sourceColour(model, profile && readIccProfile(profile), exif.saysAdobeRgb ? 'adobe-rgb' : null);
  const deep = bitDepth === 16 && !colour.byCodec;
  if (bitDepth === 16 && model === 'rgb' && colour.byCodec)
    return refused(
      'unsupported',
      `${name} has 16 bits per channel and a colour profile made of tables (${colour.name ?? 'unnamed'}), which would lose its depth. Export it with the sRGB or the Display P3 profile.`,
    );
  const source: PixelSource = { kind: 'file', format, name, bytes, deep, grey: model === 'grey', hasAlpha, toSrgb: colour.byCodec };
  const turn = turnOf(upright);
  return found({
    size: { width, height },
    turn,
    colour,
    facts: factsOf(format, turnedSize({ width, height }, turn), bitDepth, colour, { ...exif, orientation: upright }),
    coding: format,
    source: async () => found(source),
  });
}

/** Code points of ISO/IEC 23091-2. */
const PRIMARIES_DISPLAY_P3 = 12;
const PRIMARIES_BT2020 = 9;
const TRANSFER_PQ = 16;
const TRANSFER_HLG = 18;

/** HEIC, which is decoded whole, once, at the first call for pixels, and then kept. */
export async function readStoredHeic(bytes: Uint8Array, name: string): Promise<Outcome<StoredPhoto, PhotoFault>> {
  const size = await readHeicSize(bytes, name);
  if (!size.ok) return size;
  const unfit = sizeRefusal(size.value, name);
  if (unfit) return unfit;
  const { profile, primaries, transfer, bitDepth } = readHeicColour(bytes);
  if (!profile && (primaries === PRIMARIES_BT2020 || transfer === TRANSFER_PQ || transfer === TRANSFER_HLG))
    return refused(
      'unsupported',
      `${name} is coded for high-dynamic-range screens, which is not read here. Export it as an ordinary JPEG, with HDR off.`,
    );
  const colour = sourceColour('rgb', profile && readIccProfile(profile), primaries === PRIMARIES_DISPLAY_P3 ? 'display-p3' : null);
  if (colour.byCodec)
    return refused(
      'unsupported',
      `${name} has a colour profile that is not read in HEIC (${colour.name ?? 'unnamed'}). Export it as JPEG and use that.`,
    );
  const exif = await readExifFacts(readHeicExif(bytes));
  let kept: Promise<Outcome<PixelSource, PhotoFault>> | null = null;
  const decoded = async (): Promise<Outcome<PixelSource, PhotoFault>> => {
    const pixels = await decodeHeic(bytes, bitDepth, name);
    return pixels.ok ? found({ kind: 'pixels', format: 'heic', name, pixels: pixels.value }) : pixels;
  };
  return found({
    size: size.value,
    turn: turnOf(1), // the container's own turn is applied by the decoder; the Exif tag repeats it
    colour,
    facts: factsOf('heic', size.value, bitDepth, colour, { ...exif, orientation: 1 }),
    coding: 'heic',
    source: () => {
      kept ??= decoded();
      return kept;
    },
  });
}

function sizeRefusal({ width, height }: Size, name: string) {
  if (width * height > MOST_PIXELS)
    return refused<PhotoFault>(
      'too-large',
      `${name} has ${width} x ${height} px, ${Math.round((width * height) / 1e6)} megapixels; at most ${MOST_PIXELS / 1e6} are read. Save a smaller copy; 12 megapixels are plenty.`,
    );
  if (Math.min(width, height) < FEWEST_PX)
    return refused<PhotoFault>(
      'too-small',
      `${name} has only ${width} x ${height} px, too few to show a face; at least ${FEWEST_PX} px on the shorter side are needed, and 1000 or more to measure well. Choose the original photograph, not a preview of it.`,
    );
  return null;
}

function factsOf(format: FileFormat, upright: Size, bitDepth: number, colour: SourceColour, exif: ExifFacts): PhotoFacts {
  const { orientation, takenAt, camera, lens, focalLengthMm, focalLength35Mm, flashFired } = exif;
  const picture = {
    format,
    widthPx: upright.width,
    heightPx: upright.height,
    bitDepth,
    colourProfile: colour.name,
    colourModel: colour.model,
  };
  return { ...picture, orientation, takenAt, camera, lens, focalLengthMm, focalLength35Mm, flashFired };
}
