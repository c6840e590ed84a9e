/**
 * Whether a file reaches its own end, seen without decoding: a copy that broke off is told apart at once.
 *
 * Source  ITU-T T.81 annex B (JPEG markers), ISO/IEC 15948 (PNG chunks), RFC 9649 (RIFF size), TIFF 6.0
 *         section 2 (directories), ISO/IEC 14496-12 (box sizes).
 */
import type { FileFormat } from './sniff.ts';
import { readTiffDirectory } from './tiff-directory.ts';

/** True when the file is known to be cut short. */
export function isCutShort(bytes: Uint8Array, format: FileFormat): boolean {
  if (format === 'jpeg') return jpegCutShort(bytes);
  if (format === 'png') return pngCutShort(bytes);
  if (format === 'webp') return bytes.length < 12 || view(bytes).getUint32(4, true) + 8 > bytes.length;
  if (format === 'heic') return boxesCutShort(bytes);
  if (format === 'dicom') return false; // its reader tells
  return tiffCutShort(bytes);
}

/** Walks the marker segments to the first scan, then looks for the end-of-image marker; thumbnails inside segments are passed over. */
function jpegCutShort(bytes: Uint8Array): boolean {
  let at = 2;
  while (at + 4 <= bytes.length) {
    if (bytes[at] !== 0xff) return !has(bytes, at, 0xd9); // lost in padding or damage: the end alone decides
    const marker = bytes[at + 1];
    if (marker === 0xff || marker === 0x01 || (marker >= 0xd0 && marker <= 0xd8)) {
      at += marker === 0xff ? 1 : 2;
      continue;
    }
    if (marker === 0xd9) return true; // ends before any scan
    const length = (bytes[at + 2] << 8) | bytes[at + 3];
    at += 2 + length;
    if (marker === 0xda) return !has(bytes, at, 0xd9);
  }
  return true;
}

function has(bytes: Uint8Array, from: number, marker: number): boolean {
  const last = bytes.length - 2;
  if (from <= last && bytes[last] === 0xff && bytes[last + 1] === marker) return true; // as nearly every file ends
  for (let at = bytes.indexOf(0xff, from); at >= 0; at = bytes.indexOf(0xff, at + 1)) if (bytes[at + 1] === marker) return true;
  return false;
}

function pngCutShort(bytes: Uint8Array): boolean {
  const data = view(bytes);
  for (let at = 8; at + 12 <= bytes.length; ) {
    const length = data.getUint32(at);
    if (data.getUint32(at + 4) === 0x49454e44) return false; // IEND
    at += 12 + length;
  }
  return true;
}

/** Whether the first directory, or a strip or tile of pixels it points to, lies behind the end of the file. */
function tiffCutShort(bytes: Uint8Array): boolean {
  const tags = readTiffDirectory(bytes);
  if (!tags) return true;
  return [STRIPS, TILES].some(([offsets, lengths]) => {
    const sizes = tags.get(lengths) ?? [];
    return (tags.get(offsets) ?? []).some((offset, i) => offset + (sizes[i] ?? 0) > bytes.length);
  });
}

/** Tags of the offsets and of the byte counts. */
const STRIPS = [273, 279] as const;
const TILES = [324, 325] as const;

function boxesCutShort(bytes: Uint8Array): boolean {
  const data = view(bytes);
  for (let at = 0; at < bytes.length; ) {
    if (at + 8 > bytes.length) return true;
    const short = data.getUint32(at);
    if (short === 0) return false; // runs to the end of the file
    if (short === 1 && at + 16 > bytes.length) return true;
    const size = short === 1 ? Number(data.getBigUint64(at + 8)) : short;
    if (size < 8) return false; // damage, for the decoder to name
    at += size;
    if (at > bytes.length) return true;
  }
  return false;
}

const view = (bytes: Uint8Array): DataView => new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
