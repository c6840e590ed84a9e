/**
 * The few properties of a HEIC file that decide how its pixels are understood: colour and bit depth.
 *
 * Model   ISO/IEC 23008-12: `pitm` names the primary item, `ipma` ties it to properties in `ipco`: `colr` (a profile, or the
 *         code points of ISO/IEC 23091-2) and `pixi` (bits per channel).
 */
import { type Box, boxesIn, boxNamed, fourLetters, metaBoxes, readOr } from './iso-boxes.ts';

export type HeicColour = Readonly<{
  /** An embedded profile, or null. */
  profile: Uint8Array | null;
  /** Code points of ISO/IEC 23091-2, or null. */
  primaries: number | null;
  transfer: number | null;
  /** Bits per channel; 8 when the file does not say. */
  bitDepth: number;
}>;

const NOTHING: HeicColour = { profile: null, primaries: null, transfer: null, bitDepth: 8 };

/** Reads the primary item's properties; anything missing or damaged is left at null and 8 bits. Never throws on damaged bytes. */
export function readHeicColour(bytes: Uint8Array): HeicColour {
  return readOr(NOTHING, () => {
    const meta = metaBoxes(bytes);
    const properties = boxesIn(boxNamed(meta, 'iprp'), 0);
    const list = boxesIn(boxNamed(properties, 'ipco'), 0);
    const primary = boxNamed(meta, 'pitm');
    const item = primary.getUint8(0) === 0 ? primary.getUint16(4) : primary.getUint32(4);
    const own = indicesOf(item, boxNamed(properties, 'ipma')).flatMap((index) => list[index - 1] ?? []);
    return own.reduce(withProperty, NOTHING);
  });
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
