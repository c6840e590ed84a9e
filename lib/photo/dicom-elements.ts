/**
 * The outermost data elements of a DICOM file: where each asked-for value lies, and the pieces of the pixel data.
 *
 * Model   a preamble of 128 bytes, "DICM", the file's meta elements (explicit lengths and types), then the data set in the
 *         transfer syntax that they name, up to the pixel data. Sequences are stepped over. Nothing is copied, and only
 *         elements that were asked for are kept, so that memory does not grow with what a damaged file claims to hold.
 * Source  DICOM PS3.10 section 7.1 (file), PS3.5 section 7 (data elements, sequences) and annex A.4 (encapsulated pixels).
 */

/** Where bytes lie in the file. */
export type Span = Readonly<{ start: number; length: number }>;

export type DicomFile = Readonly<{
  transferSyntax: string;
  /** By tag, `group * 65536 + element`. */
  elements: ReadonlyMap<number, Span>;
  /** The pixel data as one piece, or the fragments it is encapsulated in, without the table of offsets; null when it has none. */
  pixels: Readonly<{ encapsulated: boolean; pieces: readonly Span[] }> | null;
}>;

/** `other-order`: big-endian or deflated, which is not read; `syntax` of the answer says which. */
export type DicomFault = Readonly<{ fault: 'cut-short' | 'damaged' } | { fault: 'other-order'; transferSyntax: string }>;

export const IMPLICIT_LITTLE = '1.2.840.10008.1.2';
const UNREAD_ORDERS = ['1.2.840.10008.1.2.1.99', '1.2.840.10008.1.2.2'];

const TRANSFER_SYNTAX = 0x0002_0010;
const PIXEL_DATA = 0x7fe0_0010;
const ITEM = 0xfffe_e000;
const ITEM_END = 0xfffe_e00d;
const SEQUENCE_END = 0xfffe_e0dd;
const UNDEFINED = 0xffff_ffff;
/** Types whose length has four bytes, behind two that are reserved. PS3.5 section 7.1.2. */
const LONG_TYPES = new Set(['OB', 'OD', 'OF', 'OL', 'OV', 'OW', 'SQ', 'SV', 'UC', 'UN', 'UR', 'UT', 'UV']);
/** Sequences inside sequences beyond this are damage. */
const DEEPEST = 32;

/** What a walk stops with when the bytes make no sense; never leaves this file. */
class Broken extends Error {
  readonly fault: 'cut-short' | 'damaged';
  constructor(fault: 'cut-short' | 'damaged') {
    super(fault);
    this.fault = fault;
  }
}

/** `wanted` are tags, `group * 65536 + element`. Takes time in proportion to the bytes, whatever they hold. */
export function readDicom(bytes: Uint8Array, wanted: ReadonlySet<number>): DicomFile | DicomFault {
  try {
    return read(bytes, wanted);
  } catch (error) {
    if (error instanceof Broken) return { fault: error.fault };
    throw error;
  }
}

function read(bytes: Uint8Array, wanted: ReadonlySet<number>): DicomFile | DicomFault {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let at = 132;
  let transferSyntax = '';
  while (at + 4 <= bytes.length && view.getUint16(at, true) === 2) {
    const head = headAt(view, at, false);
    at = endOf(view, head);
    if (head.tag === TRANSFER_SYNTAX) transferSyntax = dicomText(bytes, head);
  }
  if (transferSyntax === '') throw new Broken(at + 4 > bytes.length ? 'cut-short' : 'damaged');
  if (UNREAD_ORDERS.includes(transferSyntax)) return { fault: 'other-order', transferSyntax };

  const implicit = transferSyntax === IMPLICIT_LITTLE;
  const elements = new Map<number, Span>();
  let last = 0;
  while (at < bytes.length) {
    const head = headAt(view, at, implicit);
    // Tags stand in rising order; anything else is damage that would lead the walk astray.
    if (head.tag <= last) throw new Broken('damaged');
    last = head.tag;
    if (head.tag === PIXEL_DATA) return { transferSyntax, elements, pixels: pixelsOf(view, head) };
    at = head.length === UNDEFINED ? endOfSequence(view, head.start, implicit || head.type === 'UN', 0) : endOf(view, head);
    if (wanted.has(head.tag) && head.length !== UNDEFINED) elements.set(head.tag, { start: head.start, length: head.length });
  }
  return { transferSyntax, elements, pixels: null };
}

type Head = Span & Readonly<{ tag: number; type: string }>;

function headAt(view: DataView, at: number, implicit: boolean): Head {
  if (at + 8 > view.byteLength) throw new Broken('cut-short');
  const tag = view.getUint16(at, true) * 65536 + view.getUint16(at + 2, true);
  // Items and delimiters have no type in any syntax.
  if (implicit || tag >= ITEM) return { tag, type: '', length: view.getUint32(at + 4, true), start: at + 8 };
  const type = String.fromCharCode(view.getUint8(at + 4), view.getUint8(at + 5));
  if (!/^[A-Z]{2}$/.test(type)) throw new Broken('damaged');
  if (!LONG_TYPES.has(type)) return { tag, type, length: view.getUint16(at + 6, true), start: at + 8 };
  if (at + 12 > view.byteLength) throw new Broken('cut-short');
  return { tag, type, length: view.getUint32(at + 8, true), start: at + 12 };
}

function endOf(view: DataView, { start, length }: Span): number {
  if (start + length > view.byteLength) throw new Broken('cut-short');
  return start + length;
}

/** Steps over a sequence without a length: items up to its delimiter. */
function endOfSequence(view: DataView, from: number, implicit: boolean, depth: number): number {
  if (depth > DEEPEST) throw new Broken('damaged');
  let at = from;
  for (;;) {
    const item = headAt(view, at, true);
    if (item.tag === SEQUENCE_END) return item.start;
    if (item.tag !== ITEM) throw new Broken('damaged');
    at = item.length === UNDEFINED ? endOfItem(view, item.start, implicit, depth) : endOf(view, item);
  }
}

function endOfItem(view: DataView, from: number, implicit: boolean, depth: number): number {
  let at = from;
  for (;;) {
    const head = headAt(view, at, implicit);
    if (head.tag === ITEM_END) return head.start;
    at = head.length === UNDEFINED ? endOfSequence(view, head.start, implicit || head.type === 'UN', depth + 1) : endOf(view, head);
  }
}

function pixelsOf(view: DataView, head: Head): NonNullable<DicomFile['pixels']> {
  if (head.length !== UNDEFINED) {
    endOf(view, head);
    return { encapsulated: false, pieces: [{ start: head.start, length: head.length }] };
  }
  const pieces: Span[] = [];
  let at = head.start;
  for (;;) {
    const item = headAt(view, at, true);
    if (item.tag === SEQUENCE_END) return { encapsulated: true, pieces: pieces.slice(1) };
    if (item.tag !== ITEM || item.length === UNDEFINED) throw new Broken('damaged');
    at = endOf(view, item);
    pieces.push({ start: item.start, length: item.length });
  }
}

const LONGEST_TEXT = 128;

/** A value as text, without the padding at its ends; what is no printable ASCII is left out. */
export function dicomText(bytes: Uint8Array, { start, length }: Span): string {
  const codes = bytes.subarray(start, start + Math.min(length, LONGEST_TEXT)).filter((code) => code >= 0x20 && code < 0x7f);
  return String.fromCharCode(...codes).trim();
}
