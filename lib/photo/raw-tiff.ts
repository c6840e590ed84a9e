/**
 * Whether a TIFF is really a raw camera file, of which an ordinary reader would show only a small preview.
 *
 * Model   its first directory names a DNG version, a colour-filter array, or calls itself a reduced copy and points to
 *         sub-directories; or the file carries a maker's own signature behind the TIFF header.
 * Source  TIFF/EP, ISO 12234-2:2001 (colour-filter array); DNG specification 1.4 (tag 50706).
 */
import { readTiffDirectory } from './tiff-directory.ts';

const TAG = { subfileType: 254, photometric: 262, subDirectories: 330, dngVersion: 50706 } as const;
const COLOUR_FILTER_ARRAY = 32803;
/** "CR", behind the header of one maker's raw files. */
const SIGNATURE_AT_8 = [0x43, 0x52];

/** True for raw files; false for TIFF pictures and for anything too damaged to tell. Reads the first directory only. */
export function isRawTiff(bytes: Uint8Array): boolean {
  if (bytes[8] === SIGNATURE_AT_8[0] && bytes[9] === SIGNATURE_AT_8[1]) return true;
  const tags = readTiffDirectory(bytes);
  if (!tags) return false;
  const reduced = ((tags.get(TAG.subfileType)?.[0] ?? 0) & 1) === 1;
  return tags.has(TAG.dngVersion) || tags.get(TAG.photometric)?.[0] === COLOUR_FILTER_ARRAY || (reduced && tags.has(TAG.subDirectories));
}
