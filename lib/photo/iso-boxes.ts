/** Boxes of the ISO base media file format (ISO/IEC 14496-12, clause 4.2), read in place. */

export type Box = Readonly<{ type: string; body: DataView }>;

/** The boxes that follow one another in `parent` from byte `from`; stops quietly at the first that does not fit. */
export function boxesIn(parent: DataView, from: number): Box[] {
  const boxes: Box[] = [];
  for (let at = from; at + 8 <= parent.byteLength; ) {
    const short = parent.getUint32(at);
    const header = short === 1 ? 16 : 8;
    if (at + header > parent.byteLength) break;
    const size = short === 0 ? parent.byteLength - at : short === 1 ? Number(parent.getBigUint64(at + 8)) : short;
    if (size < header || at + size > parent.byteLength) break;
    boxes.push({ type: fourLetters(parent, at + 4), body: new DataView(parent.buffer, parent.byteOffset + at + header, size - header) });
    at += size;
  }
  return boxes;
}

/** The first box of a type, or an empty one. */
export const boxNamed = (boxes: readonly Box[], type: string): DataView =>
  boxes.find((box) => box.type === type)?.body ?? new DataView(new ArrayBuffer(0));

export const fourLetters = (view: DataView, at: number): string =>
  String.fromCharCode(view.getUint8(at), view.getUint8(at + 1), view.getUint8(at + 2), view.getUint8(at + 3));

/** The boxes inside a HEIF file's `meta` box, which describe its items. */
export function metaBoxes(bytes: Uint8Array): Box[] {
  const meta = boxNamed(boxesIn(new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength), 0), 'meta');
  return boxesIn(meta, 4);
}

/** The answer of `read`, or `otherwise` when the bytes end before it has read all. */
export function readOr<T>(otherwise: T, read: () => T): T {
  try {
    return read();
  } catch (error) {
    if (error instanceof RangeError) return otherwise;
    throw error;
  }
}
