/**
 * The first directory of a TIFF: which tags it has, and their whole numbers.
 *
 * Source  TIFF 6.0, section 2. The 64-bit variant ("big TIFF") is recognised and left unread.
 */
export type TiffDirectory = ReadonlyMap<number, readonly number[]>;

const BYTES_OF_SHORT = 2;
const BYTES_OF_LONG = 4;

/**
 * Tags with their values; only short and long numbers are read, of other types the list is empty. Null when the directory itself
 * lies behind the end of the file; an empty map for big TIFF.
 */
export function readTiffDirectory(bytes: Uint8Array): TiffDirectory | null {
  const tags = new Map<number, readonly number[]>();
  if (bytes.length < 16) return null;
  const little = bytes[0] === 0x49;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (view.getUint16(2, little) !== 42) return tags;
  const start = view.getUint32(4, little);
  if (start + 2 > bytes.length) return null;
  const count = view.getUint16(start, little);
  if (start + 2 + 12 * count > bytes.length) return null;
  for (let i = 0; i < count; i++) {
    const at = start + 2 + 12 * i;
    const type = view.getUint16(at + 2, little);
    const size = type === 3 ? BYTES_OF_SHORT : type === 4 ? BYTES_OF_LONG : 0;
    const length = view.getUint32(at + 4, little);
    const from = size * length <= 4 ? at + 8 : view.getUint32(at + 8, little);
    const values: number[] = [];
    if (size > 0 && from + size * length <= bytes.length)
      for (let k = 0; k < length; k++)
        values.push(size === BYTES_OF_SHORT ? view.getUint16(from + 2 * k, little) : view.getUint32(from + 4 * k, little));
    tags.set(view.getUint16(at, little), values);
  }
  return tags;
}
