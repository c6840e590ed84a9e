/**
 * The few properties of a HEIC file that decide how its pixels are understood: colour and bit depth.
 *
 * Model   boxes of ISO/IEC 14496-12; items and properties of ISO/IEC 23008-12: `pitm` names the primary item, `ipma` ties it
 *         to properties in `ipco`: `colr` (a profile, or the code points of ISO/IEC 23091-2) and `pixi` (bits per channel).
 */
export type HeicColour = Readonly<{
  /** An embedded profile, or null. */
  profile: Uint8Array | null;
  /** Code points of ISO/IEC 23091-2, or null. */
  primaries: number | null;
  transfer: number | null;
  /** Bits per channel; 8 when the file does not say. */
  bitDepth: number;
}>;

type Box = Readonly<{ type: string; body: DataView }>;

/** Reads the primary item's properties; anything missing or damaged is left at null and 8 bits. Never throws on damaged bytes. */
export function readHeicColour(bytes: Uint8Array): HeicColour {
  const nothing: HeicColour = { profile: null, primaries: null, transfer: null, bitDepth: 8 };
  try {
    const file = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    const meta = boxesIn(file, 0).find(({ type }) => type === 'meta');
    if (!meta) return nothing;
    const inMeta = boxesIn(meta.body, 4);
    const properties = inMeta.find(({ type }) => type === 'iprp');
    const primary = inMeta.find(({ type }) => type === 'pitm');
    if (!properties || !primary) return nothing;
    const inProperties = boxesIn(properties.body, 0);
    const list = boxesIn(inProperties.find(({ type }) => type === 'ipco')!.body, 0);
    const item = primary.body.getUint8(0) === 0 ? primary.body.getUint16(4) : primary.body.getUint32(4);
    const own = indicesOf(item, inProperties.find(({ type }) => type === 'ipma')!.body).flatMap((index) => list[index - 1] ?? []);
    return own.reduce(withProperty, nothing);
  } catch (error) {
    if (error instanceof RangeError || error instanceof TypeError) return nothing; // ran past the end, or a box is missing
    throw error;
  }
}

function withProperty(colour: HeicColour, { type, body }: Box): HeicColour {
  if (type === 'pixi') return { ...colour, bitDepth: body.getUint8(5) };
  if (type !== 'colr') return colour;
  const kind = fourLetters(body, 0);
  if (kind === 'nclx') return { ...colour, primaries: body.getUint16(4), transfer: body.getUint16(6) };
  if (kind === 'prof' || kind === 'rICC')
    return { ...colour, profile: new Uint8Array(body.buffer, body.byteOffset + 4, body.byteLength - 4) };
  return colour;
}

/** Property numbers, from 1, that belong to an item. */
function indicesOf(item: number, ipma: DataView): number[] {
  const version = ipma.getUint8(0);
  const wide = (ipma.getUint8(3) & 1) === 1;
  let at = 8;
  for (let entry = ipma.getUint32(4); entry > 0; entry--) {
    const id = version < 1 ? ipma.getUint16(at) : ipma.getUint32(at);
    at += version < 1 ? 2 : 4;
    const count = ipma.getUint8(at++);
    const indices = Array.from({ length: count }, (_, i) => (wide ? ipma.getUint16(at + 2 * i) & 0x7fff : ipma.getUint8(at + i) & 0x7f));
    at += wide ? 2 * count : count;
    if (id === item) return indices;
  }
  return [];
}

/** The boxes that follow one another in `parent` from byte `from`. */
function boxesIn(parent: DataView, from: number): Box[] {
  const boxes: Box[] = [];
  for (let at = from; at + 8 <= parent.byteLength; ) {
    const short = parent.getUint32(at);
    const header = short === 1 ? 16 : 8;
    const size = short === 0 ? parent.byteLength - at : short === 1 ? Number(parent.getBigUint64(at + 8)) : short;
    if (size < header || at + size > parent.byteLength) break;
    boxes.push({ type: fourLetters(parent, at + 4), body: new DataView(parent.buffer, parent.byteOffset + at + header, size - header) });
    at += size;
  }
  return boxes;
}

const fourLetters = (view: DataView, at: number): string =>
  String.fromCharCode(view.getUint8(at), view.getUint8(at + 1), view.getUint8(at + 2), view.getUint8(at + 3));
