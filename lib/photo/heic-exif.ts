/**
 * Where a HEIC file keeps its Exif block.
 *
 * Model   ISO/IEC 23008-12, annex A: an item of type `Exif` (named in `iinf`, placed by `iloc`), whose first four bytes say how
 *         many bytes to skip before the TIFF header.
 */
import { boxesIn, boxNamed, fourLetters, metaBoxes, readOr } from './iso-boxes.ts';

/** The Exif block from its TIFF header on, or null. Never throws on damaged bytes. */
export function readHeicExif(bytes: Uint8Array): Uint8Array | null {
  return readOr(null, () => {
    const meta = metaBoxes(bytes);
    const item = exifItem(boxNamed(meta, 'iinf'));
    const place = item === null ? null : placeOf(item, boxNamed(meta, 'iloc'));
    if (!place || place.offset + place.length > bytes.length || place.length < 12) return null;
    const payload = bytes.subarray(place.offset, place.offset + place.length);
    const skip = new DataView(payload.buffer, payload.byteOffset, 4).getUint32(0);
    return 4 + skip < payload.length ? payload.subarray(4 + skip) : null;
  });
}

/** The number of the first item of type `Exif`, from `infe` boxes of version 2 (short numbers) or 3. */
function exifItem(iinf: DataView): number | null {
  const first = iinf.getUint8(0) === 0 ? 6 : 8;
  for (const { body } of boxesIn(iinf, first)) {
    const short = body.getUint8(0) === 2;
    if (fourLetters(body, short ? 8 : 10) === 'Exif') return short ? body.getUint16(4) : body.getUint32(4);
  }
  return null;
}

/** An item's first extent in the file; null when it lies elsewhere. */
function placeOf(wanted: number, iloc: DataView): { offset: number; length: number } | null {
  const version = iloc.getUint8(0);
  const [offsetSize, lengthSize] = nibbles(iloc.getUint8(4));
  const [baseSize, indexSize] = nibbles(iloc.getUint8(5));
  let at = 6;
  const take = (size: number): number => {
    at += size;
    return size === 0 ? 0 : size === 2 ? iloc.getUint16(at - 2) : size === 4 ? iloc.getUint32(at - 4) : Number(iloc.getBigUint64(at - 8));
  };
  const numberSize = version < 2 ? 2 : 4;
  for (let items = take(numberSize); items > 0; items--) {
    const id = take(numberSize);
    const inFile = version === 0 || (take(2) & 15) === 0;
    take(2); // data reference
    const base = take(baseSize);
    const extents = Array.from({ length: take(2) }, () => {
      if (version > 0) take(indexSize);
      return { offset: base + take(offsetSize), length: take(lengthSize) };
    });
    if (id === wanted) return inFile ? (extents[0] ?? null) : null;
  }
  return null;
}

const nibbles = (byte: number): [number, number] => [byte >> 4, byte & 15];
