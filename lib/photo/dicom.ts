/**
 * The photograph inside a DICOM file, as the JPEG that was put in, byte for byte, or as a TIFF of its bare pixels; with the
 * time, the camera and the side of the body that the file states.
 *
 * VL Photographic Images and Secondary Captures are read: one frame, JPEG Baseline or uncompressed RGB or grey. Names and
 * other facts of the patient are not read.
 *
 * Source  DICOM PS3.3 C.8.12.1 (VL image), C.7.6.3 (pixels), C.11.15 (profile); PS3.5 section 8 and annex A.
 */
import type { PhotoFacts } from '#shared/comparison.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { cutShort, damaged } from './codec-refusal.ts';
import { type DicomFile, dicomText, readDicom, type Span } from './dicom-elements.ts';
import { isPhotographClass, JPEG_SYNTAXES, modalityWords, PLAIN_SYNTAXES, syntaxWords } from './dicom-words.ts';
import { cameraName, isoTime } from './exif-facts.ts';
import { jpegColourMarks, profileSegments, rgbSegment, withSegments } from './jpeg-segments.ts';
import { plainTiff } from './plain-tiff.ts';
import type { PhotoFault } from './types.ts';

export type PhotographInDicom = Readonly<{
  format: 'jpeg' | 'tiff';
  bytes: Uint8Array;
  /** `YYYY-MM-DDThh:mm:ss`; a day without a time counts from its midnight. */
  takenAt: string | null;
  camera: string | null;
  laterality: NonNullable<PhotoFacts['laterality']> | null;
}>;

const TAG = {
  acquisitionDateTime: 0x0008_002a,
  acquisitionDate: 0x0008_0022,
  acquisitionTime: 0x0008_0032,
  contentDate: 0x0008_0023,
  contentTime: 0x0008_0033,
  sopClass: 0x0008_0016,
  modality: 0x0008_0060,
  manufacturer: 0x0008_0070,
  model: 0x0008_1090,
  laterality: 0x0020_0060,
  imageLaterality: 0x0020_0062,
  samples: 0x0028_0002,
  photometric: 0x0028_0004,
  planar: 0x0028_0006,
  frames: 0x0028_0008,
  rows: 0x0028_0010,
  columns: 0x0028_0011,
  bitsAllocated: 0x0028_0100,
  bitsStored: 0x0028_0101,
  signed: 0x0028_0103,
  profile: 0x0028_2000,
} as const;
const WANTED: ReadonlySet<number> = new Set(Object.values(TAG));

const SIDES: Readonly<Record<string, PhotographInDicom['laterality']>> = { L: 'left', R: 'right', B: 'both', U: 'unpaired' };

const EXPORT = 'Export the photograph as JPEG, or as DICOM with JPEG Baseline or uncompressed pixels.';

/** `bytes` are not copied where a JPEG lies in one piece. Everything wrong with the file is a refusal. */
export function photographInDicom(bytes: Uint8Array, name: string): Outcome<PhotographInDicom, PhotoFault> {
  const file = readDicom(bytes, WANTED);
  if ('fault' in file) {
    if (file.fault === 'other-order')
      return unsupported(name, `is stored as ${syntaxWords(file.transferSyntax)}, which is not read here. ${EXPORT}`);
    return file.fault === 'cut-short' ? cutShort(name) : damaged('dicom', name);
  }
  const text = (tag: number): string => spanText(bytes, file.elements.get(tag));
  if (!isPhotographClass(text(TAG.sopClass)) || !file.pixels)
    return refused(
      file.pixels ? 'unsupported' : 'not-an-image',
      `${name} is a DICOM file that holds ${file.pixels || text(TAG.modality) === 'SR' ? modalityWords(text(TAG.modality)) : 'no picture'}, not a photograph of a face. Choose the photograph itself.`,
    );
  const frames = Number.parseInt(text(TAG.frames) || '1', 10);
  if (frames !== 1)
    return unsupported(
      name,
      `holds ${Number.isFinite(frames) ? frames : 'several'} frames in one DICOM file. Export the one that is meant as a single image.`,
    );
  const picture = pictureOf(bytes, file, text(TAG.photometric), name);
  if (!picture.ok) return picture;
  return found({
    ...picture.value,
    takenAt: timeOf(text),
    camera: cameraName(text(TAG.manufacturer) || null, text(TAG.model) || null),
    laterality: SIDES[text(TAG.imageLaterality)] ?? SIDES[text(TAG.laterality)] ?? null,
  });
}

type Picture = Pick<PhotographInDicom, 'format' | 'bytes'>;

function pictureOf(bytes: Uint8Array, file: DicomFile, photometric: string, name: string): Outcome<Picture, PhotoFault> {
  const { transferSyntax, pixels, elements } = file;
  const profileAt = elements.get(TAG.profile);
  const profile = profileAt && profileAt.length > 0 ? bytes.subarray(profileAt.start, profileAt.start + profileAt.length) : null;
  if (JPEG_SYNTAXES.has(transferSyntax) && pixels?.encapsulated) {
    const jpeg = joined(bytes, pixels.pieces);
    if (jpeg[0] !== 0xff || jpeg[1] !== 0xd8) return damaged('dicom', name);
    return found({ format: 'jpeg', bytes: asDeclared(jpeg, photometric, profile) });
  }
  if (!PLAIN_SYNTAXES.has(transferSyntax) || !pixels || pixels.encapsulated)
    return unsupported(name, `is compressed as ${syntaxWords(transferSyntax)}, which is not read here. ${EXPORT}`);
  return barePicture(bytes, file, pixels.pieces[0], photometric, profile, name);
}

/** What the DICOM elements say of colour and the JPEG itself does not is put in as segments of the JPEG. */
function asDeclared(jpeg: Uint8Array, photometric: string, profile: Uint8Array | null): Uint8Array {
  const marks = jpegColourMarks(jpeg);
  // A codestream that states its own colours is believed: files that call a YCbCr stream RGB are common.
  const rgb = photometric === 'RGB' && !marks.jfif && !marks.adobe && !marks.subsampled ? [rgbSegment()] : [];
  const profiles = profile && !marks.profile ? profileSegments(profile) : [];
  return rgb.length + profiles.length > 0 ? withSegments(jpeg, [...rgb, ...profiles]) : jpeg;
}

function barePicture(
  bytes: Uint8Array,
  { elements }: DicomFile,
  at: Span,
  photometric: string,
  profile: Uint8Array | null,
  name: string,
): Outcome<Picture, PhotoFault> {
  const number = (tag: number): number => spanNumber(bytes, elements.get(tag));
  const [width, height, channels, bitDepth] = [number(TAG.columns), number(TAG.rows), number(TAG.samples), number(TAG.bitsAllocated)];
  if (!(width > 0 && height > 0)) return damaged('dicom', name);
  const isRgb = photometric === 'RGB' && channels === 3;
  const isGrey = /^MONOCHROME[12]$/.test(photometric) && channels === 1;
  if (!isRgb && !isGrey)
    return unsupported(
      name,
      `stores its colours as ${photometric || 'an unnamed space'} with ${channels || 'an unknown number of'} samples, which is not read here. ${EXPORT}`,
    );
  if ((bitDepth !== 8 && bitDepth !== 16) || number(TAG.bitsStored) !== bitDepth || number(TAG.signed) === 1)
    return unsupported(
      name,
      `stores ${number(TAG.bitsStored)} of ${bitDepth} bits per sample${number(TAG.signed) === 1 ? ', signed' : ''}; 8 or 16 whole bits are read. ${EXPORT}`,
    );
  const length = (width * height * channels * bitDepth) / 8;
  if (at.length < length) return cutShort(name);
  const tiff = plainTiff({
    width,
    height,
    channels: isRgb ? 3 : 1,
    bitDepth,
    planar: number(TAG.planar) === 1,
    inverted: photometric === 'MONOCHROME1',
    data: bytes.subarray(at.start, at.start + length),
    profile,
  });
  return found({ format: 'tiff', bytes: tiff });
}

/** The fragments as one, without the byte that makes them even. */
function joined(bytes: Uint8Array, pieces: readonly Span[]): Uint8Array {
  const parts = pieces.map(({ start, length }) => bytes.subarray(start, start + length));
  const whole = parts.length === 1 ? parts[0] : concat(parts);
  const last = whole.length - 1;
  return last >= 2 && whole[last] === 0 && whole[last - 1] === 0xd9 && whole[last - 2] === 0xff ? whole.subarray(0, last) : whole;
}

function concat(parts: readonly Uint8Array[]): Uint8Array {
  const out = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
}

/** The moment of the exposure, or else that of the picture. */
function timeOf(text: (tag: number) => string): string | null {
  return (
    iso(text(TAG.acquisitionDateTime), '') ??
    iso(text(TAG.acquisitionDate), text(TAG.acquisitionTime)) ??
    iso(text(TAG.contentDate), text(TAG.contentTime))
  );
}

/** "20260901" and "103000.5", or both in one; the local time as written. PS3.5 table 6.2-1, types DA, TM and DT. */
function iso(date: string, time: string): string | null {
  const match = /^(\d{4})(\d\d)(\d\d)(\d\d)?(\d\d)?(\d\d)?/.exec(date.slice(0, 8) + (time || date.slice(8)));
  if (!match) return null;
  const [, year, month, day, hour = '00', minute = '00', second = '00'] = match;
  return isoTime(`${year}-${month}-${day} ${hour}:${minute}:${second}`);
}

const spanText = (bytes: Uint8Array, span: Span | undefined): string => (span ? dicomText(bytes, span) : '');

/** The first unsigned short of a value; 0 when there is none. */
const spanNumber = (bytes: Uint8Array, span: Span | undefined): number =>
  span && span.length >= 2 ? bytes[span.start] | (bytes[span.start + 1] << 8) : 0;

const unsupported = (name: string, rest: string) => refused<PhotoFault>('unsupported', `${name} ${rest}`);
