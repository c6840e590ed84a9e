/**
 * What the camera wrote beside the picture, as far as it bears on the comparison. The place (GPS) is never parsed.
 *
 * Source  CIPA DC-008 (Exif 2.32); CIPA DC-009 (DCF 2.0), where interoperability index "R03" marks Adobe RGB.
 */
import exifr from 'exifr';
import type { PhotoFacts } from '#shared/comparison.ts';
import { asOrientation, type Orientation } from './orientation.ts';

export type ExifFacts = Pick<PhotoFacts, 'takenAt' | 'camera' | 'lens' | 'focalLengthMm' | 'focalLength35Mm' | 'flashFired'> &
  Readonly<{ orientation: Orientation; saysAdobeRgb: boolean }>;

/** The tags asked for, directory by directory. Naming them is what keeps every other directory shut. */
export const ASKED = {
  ifd0: { pick: ['Make', 'Model', 'Orientation'] },
  exif: { pick: ['DateTimeOriginal', 'CreateDate', 'Flash', 'FocalLength', 'FocalLengthIn35mmFormat', 'LensModel', 'ColorSpace'] },
  interop: { pick: ['InteropIndex'] },
  gps: false,
  ifd1: false,
  xmp: false,
  icc: false,
  iptc: false,
  makerNote: false,
  userComment: false,
  translateValues: false,
  reviveValues: false,
  mergeOutput: true,
};

/** Reads a bare Exif block (TIFF-headed), or a whole TIFF file. What is missing or damaged is null, never an error. */
export async function readExifFacts(bytes: Uint8Array | null): Promise<ExifFacts> {
  const tags = bytes ? await parsed(bytes) : {};
  const flash = tags['Flash'];
  return {
    orientation: asOrientation(tags['Orientation']),
    takenAt: isoTime(tags['DateTimeOriginal']) ?? isoTime(tags['CreateDate']),
    camera: cameraName(text(tags['Make']), text(tags['Model'])),
    lens: text(tags['LensModel']),
    focalLengthMm: positive(tags['FocalLength']),
    focalLength35Mm: positive(tags['FocalLengthIn35mmFormat']),
    flashFired: typeof flash === 'number' ? (flash & 1) === 1 : null,
    saysAdobeRgb: tags['ColorSpace'] !== 1 && text(tags['InteropIndex']) === 'R03',
  };
}

/** The Exif block without the six bytes "Exif\0\0" that some containers put in front of it. */
export function bareExif(block: Uint8Array | undefined): Uint8Array | null {
  if (!block) return null;
  return String.fromCharCode(...block.subarray(0, 4)) === 'Exif' ? block.subarray(6) : block;
}

async function parsed(bytes: Uint8Array): Promise<Record<string, unknown>> {
  try {
    return ((await exifr.parse(bytes, ASKED)) as Record<string, unknown> | undefined) ?? {};
  } catch {
    return {}; // a damaged block says nothing; the picture may still be sound
  }
}

/** "2024:05:01 12:33:44" becomes "2024-05-01T12:33:44"; a date that cannot be is null. */
export function isoTime(value: unknown): string | null {
  const match = typeof value === 'string' ? /^(\d{4})[:-](\d\d)[:-](\d\d)[ T](\d\d):(\d\d):(\d\d)/.exec(value) : null;
  if (!match) return null;
  const [year, month, day, hour, minute, second] = match.slice(1).map(Number) as [number, number, number, number, number, number];
  const leap = year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
  const days = [31, leap ? 29 : 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31][month - 1] ?? 0;
  if (year < 1900 || day < 1 || day > days || hour > 23 || minute > 59 || second > 59) return null;
  return `${match[1]}-${match[2]}-${match[3]}T${match[4]}:${match[5]}:${match[6]}`;
}

/** Makers often repeat their name in the model. */
export function cameraName(make: string | null, model: string | null): string | null {
  if (!make || !model) return model ?? make;
  return model.toLowerCase().startsWith(make.toLowerCase().split(' ')[0]) ? model : `${make} ${model}`;
}

const LONGEST_TEXT = 80;

function text(value: unknown): string | null {
  if (typeof value !== 'string') return null;
  const clean = value.replace(/\p{C}/gu, '').trim().slice(0, LONGEST_TEXT).trim();
  return clean || null;
}

const positive = (value: unknown): number | null => (typeof value === 'number' && Number.isFinite(value) && value > 0 ? value : null);
