/**
 * What the codec complains of, in the user's words. Only sentences of ours reach the user; the codec's own are for telling
 * one kind of damage from another.
 */
import { type Refusal, refused } from '#shared/outcome.ts';
import type { FileFormat } from './sniff.ts';
import type { PhotoFault } from './types.ts';

const CUT_SHORT = /premature end of (jpeg|input)|truncat|unexpected end|end of file|EOF/i;
/** The codec's word for bytes that no reader of it wants; their beginning has been recognised here, so they are damaged. */
const NOT_RECOGNISED = /contains unsupported image format/i;
const NOT_READ =
  /unsupported|not supported|not implemented|unknown compression|cannot handle|not configured|no decoder|without .* support/i;

/**
 * Warnings about a JPEG that leave its pixels as they are: "Invalid SOS parameters" is in the files of one maker's phones, bytes before a
 * marker are skipped by rule (ITU-T T.81, B.1.1.2), and the rest is about what is written beside the pixels.
 */
const HARMLESS = /Invalid SOS parameters for sequential JPEG|extraneous bytes before marker|unknown (JFIF|Adobe)|bad ICC/i;

/** Whether a complaint is worth a second, lenient attempt. */
export const isHarmless = (error: unknown): boolean => HARMLESS.test(messageOf(error));

export const cutShort = (name: string): Refusal<PhotoFault> =>
  refused(
    'truncated',
    `${name} is cut short: the file ends before the picture does. Copy it again from the camera or phone, and wait until the copy is complete.`,
  );

export const damaged = (format: FileFormat, name: string): Refusal<PhotoFault> =>
  refused(
    'unreadable',
    `${name} is damaged: it begins as ${FULL_NAME[format]} but cannot be decoded. Copy it again from the camera or phone, or open and export it anew.`,
  );

/** The codec's complaint about how it was called: a mistake of ours, which must not pass for the user's. */
const CALLED_WRONGLY = /^Expected /;

/** Turns what the codec threw into a refusal. Throws on when the fault is the program's. */
export function codecRefusal(error: unknown, format: FileFormat, name: string): Refusal<PhotoFault> {
  const message = messageOf(error);
  if (CALLED_WRONGLY.test(message) || error instanceof TypeError || error instanceof ReferenceError) throw error;
  if (CUT_SHORT.test(message)) return cutShort(name);
  if (NOT_READ.test(message) && !NOT_RECOGNISED.test(message))
    return refused(
      'unsupported',
      `${name} is ${FULL_NAME[format]} of a kind that is not read here. Export it as an ordinary JPEG, or as 16-bit TIFF.`,
    );
  return damaged(format, name);
}

const FULL_NAME: Readonly<Record<FileFormat, string>> = {
  jpeg: 'a JPEG',
  png: 'a PNG',
  webp: 'a WebP',
  tiff: 'a TIFF',
  heic: 'a HEIC',
  dicom: 'a DICOM file',
};

const messageOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));
