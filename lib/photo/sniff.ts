/**
 * What a file is, by its first bytes and never by its name; and why, when it is nothing that can be measured.
 *
 * Source  signatures: ITU-T T.81 (JPEG), ISO/IEC 15948 (PNG), RFC 9649 (WebP), TIFF 6.0, ISO/IEC 23008-12 (HEIF brands),
 *         DICOM PS3.10 section 7.1.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { isRawTiff } from './raw-tiff.ts';
import type { PhotoFault } from './types.ts';

export type FileFormat = 'jpeg' | 'png' | 'webp' | 'tiff' | 'heic' | 'dicom';

const READ = 'JPEG, PNG, WebP, TIFF, HEIC and DICOM photographs are read.';

/** The format of `bytes`, or a refusal that names what the file is instead. `name` is for the sentence only. */
export function sniffFormat(bytes: Uint8Array, name: string): Outcome<FileFormat, PhotoFault> {
  if (bytes.length === 0)
    return refused('empty', `${name} is empty: it holds no bytes at all. Copy the photograph again from the camera or phone.`);
  // What stands in front of the four letters is anybody's, even the beginning of another format.
  if (ascii(bytes, 128, 132) === 'DICM') return found('dicom');
  if (starts(bytes, 0xff, 0xd8, 0xff)) return found('jpeg');
  if (starts(bytes, 0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a)) return found('png');
  if (ascii(bytes, 0, 4) === 'RIFF' && ascii(bytes, 8, 12) === 'WEBP') return found('webp');
  if (isTiff(bytes)) return isRawTiff(bytes) ? unsupported(name, RAW) : found('tiff');
  if (ascii(bytes, 4, 8) === 'ftyp') return heifBrand(bytes, name);
  const other = OTHERS.find(({ is }) => is(bytes));
  if (other) return unsupported(name, other.what);
  if (looksLikeText(bytes))
    return refused('not-an-image', `${name} holds text, not a picture, whatever its name says. Choose the original photograph. ${READ}`);
  return refused('not-an-image', `${name} is not a picture in any format known here. Choose the original photograph. ${READ}`);
}

type What = Readonly<{ a: string; instead: string }>;

const AS_JPEG = 'Export it as JPEG, or as 16-bit TIFF to keep all of its depth.';
const RAW: What = { a: 'a raw camera file, whose colours are not developed yet', instead: `Develop both photographs alike. ${AS_JPEG}` };
const ORIGINAL: What['instead'] = `Choose the original photograph. ${READ}`;

const unsupported = (name: string, what: What) =>
  refused('unsupported', `${name} is ${what.a}, which cannot be measured here. ${what.instead}`);

/** Formats that people do pick by mistake. */
const OTHERS: readonly { is: (bytes: Uint8Array) => boolean; what: What }[] = [
  { is: (b) => ascii(b, 0, 4) === 'GIF8', what: { a: 'a GIF, which keeps at most 256 colours', instead: ORIGINAL } },
  { is: (b) => ascii(b, 0, 5) === '%PDF-', what: { a: 'a PDF document', instead: ORIGINAL } },
  { is: (b) => isSvg(b), what: { a: 'an SVG drawing', instead: ORIGINAL } },
  { is: (b) => ascii(b, 0, 2) === 'BM' && b.length > 26, what: { a: 'a BMP bitmap', instead: 'Export it as PNG.' } },
  { is: (b) => ascii(b, 0, 4) === '8BPS', what: { a: 'an image editor’s layered file', instead: AS_JPEG } },
  { is: (b) => starts(b, 0xff, 0x0a) || ascii(b, 4, 8) === 'JXL ', what: { a: 'a JPEG XL file', instead: AS_JPEG } },
  { is: (b) => ascii(b, 4, 8) === 'jP  ' || starts(b, 0xff, 0x4f, 0xff, 0x51), what: { a: 'a JPEG 2000 file', instead: AS_JPEG } },
  { is: (b) => ascii(b, 0, 8) === 'FUJIFILM' || ascii(b, 0, 3) === 'IIU' || ascii(b, 0, 4) === 'IIRO', what: RAW },
  {
    is: (b) => starts(b, 0x50, 0x4b, 0x03, 0x04),
    what: { a: 'a ZIP archive or an office document', instead: 'Take the photographs out of it first.' },
  },
  {
    is: (b) => starts(b, 0x1a, 0x45, 0xdf, 0xa3),
    what: { a: 'a film', instead: 'Choose a still photograph; a frame of a film is too coarse.' },
  },
];

/** Brands of the ISO base media family: still pictures coded as HEVC are read, the rest is named. */
function heifBrand(bytes: Uint8Array, name: string): Outcome<FileFormat, PhotoFault> {
  const end = Math.min(bytes.length, Math.max(16, readU32(bytes, 0)), 128);
  const brands: string[] = [ascii(bytes, 8, 12)];
  for (let at = 16; at + 4 <= end; at += 4) brands.push(ascii(bytes, at, at + 4));
  const any = (...wanted: string[]) => brands.some((brand) => wanted.includes(brand));
  if (any('heic', 'heix', 'heim', 'heis')) return found('heic');
  if (any('avif', 'avis')) return unsupported(name, { a: 'an AVIF file', instead: AS_JPEG });
  if (any('crx ')) return unsupported(name, RAW);
  if (any('mif1', 'msf1')) return found('heic');
  if (any('hevc', 'hevx')) return unsupported(name, { a: 'a sequence of HEIC pictures', instead: 'Export one of them as JPEG.' });
  return unsupported(name, { a: 'a film', instead: 'Choose a still photograph; a frame of a film is too coarse.' });
}

/** Classic and big TIFF, both byte orders. */
const isTiff = (b: Uint8Array): boolean =>
  starts(b, 0x49, 0x49, 0x2a, 0) || starts(b, 0x4d, 0x4d, 0, 0x2a) || starts(b, 0x49, 0x49, 0x2b, 0) || starts(b, 0x4d, 0x4d, 0, 0x2b);

const isSvg = (b: Uint8Array): boolean => /<svg[\s>]/i.test(ascii(b, 0, 4096)) && looksLikeText(b);

/** No control characters but white space in the first half kilobyte. */
function looksLikeText(bytes: Uint8Array): boolean {
  return bytes.subarray(0, 512).every((byte) => byte >= 0x20 || byte === 0x09 || byte === 0x0a || byte === 0x0c || byte === 0x0d);
}

const starts = (bytes: Uint8Array, ...signature: number[]): boolean => signature.every((byte, i) => bytes[i] === byte);

const ascii = (bytes: Uint8Array, from: number, to: number): string => String.fromCharCode(...bytes.subarray(from, to));

const readU32 = (b: Uint8Array, at: number): number => b[at] * 2 ** 24 + (b[at + 1] << 16) + (b[at + 2] << 8) + b[at + 3];
