/**
 * Whether a TIFF is really a raw camera file, of which an ordinary reader would show only a small preview.
 *
 * Model   its first directory names a DNG version, a colour-filter array, or calls itself a reduced copy and points to
 *         sub-directories; or the file carries a maker's own signature behind the TIFF header.
 * Source  TIFF 6.0, section 2; TIFF/EP, ISO 12234-2:2001 (CFA); DNG specification 1.4 (tag 50706).
 */

const TAG = { subfileType: 254, photometric: 262, subDirectories: 330, dngVersion: 50706 } as const;
const COLOUR_FILTER_ARRAY = 32803;
/** "CR" behind the header of one maker's raw files. */
const SIGNATURE_AT_8 = [0x43, 0x52];

/** True for raw files; false for TIFF pictures and for anything too damaged to tell. Reads the first directory only. */
export function isRawTiff(bytes: Uint8Array): boolean {
  if (bytes.length < 16) return false;
  if (bytes[8] === SIGNATURE_AT_8[0] && bytes[9] === SIGNATURE_AT_8[1]) return true;
  const little = bytes[0] === 0x49;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const classic = view.getUint16(2, little) === 42;
  if (!classic) return false;
  const start = view.getUint32(4, little);
  if (start + 2 > bytes.length) return false;
  const count = view.getUint16(start, little);
  const seen = new Map<number, number>();
  for (let i = 0, at = start + 2; i < count && at + 12 <= bytes.length; i++, at += 12) {
    const short = view.getUint16(at + 2, little) === 3;
    seen.set(view.getUint16(at, little), short ? view.getUint16(at + 8, little) : view.getUint32(at + 8, little));
  }
  const reduced = ((seen.get(TAG.subfileType) ?? 0) & 1) === 1;
  return seen.has(TAG.dngVersion) || seen.get(TAG.photometric) === COLOUR_FILTER_ARRAY || (reduced && seen.has(TAG.subDirectories));
}
