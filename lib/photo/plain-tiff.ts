/**
 * Bare pixels as a TIFF, uncompressed, so that the codec reads them like any file: nothing is lost or converted.
 *
 * Source  TIFF 6.0 sections 2 to 6; tag 34675 is ICC.1:2010 annex B.4.
 */

export type BarePixels = Readonly<{
  width: number;
  height: number;
  channels: 1 | 3;
  bitDepth: 8 | 16;
  /** Channel after channel instead of pixel after pixel. */
  planar: boolean;
  /** Grey of which 0 is white. */
  inverted: boolean;
  /** Little-endian; length width * height * channels * bitDepth / 8. */
  data: Uint8Array;
  /** A colour profile, or null. */
  profile: Uint8Array | null;
}>;

const SHORT = 3;
const LONG = 4;
const UNDEFINED = 7;
const ENTRY_BYTES = 12;

type Entry = Readonly<
  { tag: number; type: typeof SHORT | typeof LONG; values: readonly number[] } | { tag: number; type: typeof UNDEFINED; bytes: Uint8Array }
>;

/** Throws RangeError when the data has another length than the size asks for. */
export function plainTiff(pixels: BarePixels): Uint8Array {
  const { width, height, channels, bitDepth, planar, inverted, data, profile } = pixels;
  const planes = planar && channels === 3 ? 3 : 1;
  const planeBytes = (width * height * channels * bitDepth) / 8 / planes;
  if (data.length !== planeBytes * planes)
    throw new RangeError(`${width} x ${height} pixels need ${planeBytes * planes} bytes, got ${data.length}`);
  const entries = (pixelsAt: number): Entry[] => [
    { tag: 256, type: LONG, values: [width] },
    { tag: 257, type: LONG, values: [height] },
    { tag: 258, type: SHORT, values: Array<number>(channels).fill(bitDepth) },
    { tag: 259, type: SHORT, values: [1] }, // not compressed
    { tag: 262, type: SHORT, values: [channels === 3 ? 2 : inverted ? 0 : 1] },
    { tag: 273, type: LONG, values: Array.from({ length: planes }, (_, k) => pixelsAt + k * planeBytes) },
    { tag: 277, type: SHORT, values: [channels] },
    { tag: 278, type: LONG, values: [height] }, // one strip for each plane
    { tag: 279, type: LONG, values: Array<number>(planes).fill(planeBytes) },
    { tag: 284, type: SHORT, values: [planes === 3 ? 2 : 1] },
    ...(profile ? [{ tag: 34675, type: UNDEFINED, bytes: profile } as const] : []),
  ];
  // Where pixels begin decides no length, so the directory's size is known before it.
  const pixelsAt = even(directory(entries(0)).length);
  const head = directory(entries(pixelsAt));
  const file = new Uint8Array(pixelsAt + data.length);
  file.set(head);
  file.set(data, pixelsAt);
  return file;
}

/** Header, first directory, and the values that do not fit into it. */
function directory(entries: readonly Entry[]): Uint8Array {
  const start = 8;
  let overflowAt = start + 2 + ENTRY_BYTES * entries.length + 4;
  const total = overflowAt + entries.reduce((sum, entry) => sum + (sizeOf(entry) > 4 ? even(sizeOf(entry)) : 0), 0);
  const out = new Uint8Array(total);
  const view = new DataView(out.buffer);
  view.setUint32(0, 0x49492a00);
  view.setUint32(4, start, true);
  view.setUint16(start, entries.length, true);
  entries.forEach((entry, k) => {
    const at = start + 2 + ENTRY_BYTES * k;
    const size = sizeOf(entry);
    view.setUint16(at, entry.tag, true);
    view.setUint16(at + 2, entry.type, true);
    view.setUint32(at + 4, entry.type === UNDEFINED ? entry.bytes.length : entry.values.length, true);
    let to = at + 8;
    if (size > 4) {
      view.setUint32(to, overflowAt, true);
      to = overflowAt;
      overflowAt += even(size);
    }
    if (entry.type === UNDEFINED) out.set(entry.bytes, to);
    else
      entry.values.forEach((value, i) => {
        if (entry.type === SHORT) view.setUint16(to + 2 * i, value, true);
        else view.setUint32(to + 4 * i, value, true);
      });
  });
  return out;
}

const sizeOf = (entry: Entry): number =>
  entry.type === UNDEFINED ? entry.bytes.length : entry.values.length * (entry.type === SHORT ? 2 : 4);

const even = (length: number): number => length + (length & 1);
