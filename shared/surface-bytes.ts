/**
 * A face surface as bytes, so that a page reads it without a parser.
 *
 * Layout  little-endian, as every machine that runs a browser is. Four Uint32: mark, index of the view in VIEWS, vertices n,
 *         triangles m; then Float32 places (3n) and plate px (2n), Uint16 triangles (3m), Int16 displacement in micrometres
 *         (n; see plate-fields.ts), Int8 zones (n), Uint8 facing (n), Uint8 trust (n).
 */
import { VIEWS } from './comparison.ts';
import type { FaceSurface } from './field.ts';
import { DISPLACEMENT_STEP_MM, decodeField, encodeField } from './plate-fields.ts';

/** "EBS1" read as a little-endian number. */
const MARK = 0x31534245;
const HEAD = 16;
const PER_VERTEX = 12 + 8 + 2 + 3;
const PER_TRIANGLE = 6;

export function encodeSurface(surface: FaceSurface): Uint8Array {
  const vertices = surface.displacementMm.length;
  const triangles = surface.triangles.length / 3;
  const bytes = new Uint8Array(HEAD + PER_VERTEX * vertices + PER_TRIANGLE * triangles);
  bytes.set(asBytes(Uint32Array.of(MARK, VIEWS.indexOf(surface.view), vertices, triangles)));
  let at = HEAD;
  for (const part of [
    surface.placesMm,
    surface.platePx,
    surface.triangles,
    encodeField(surface.displacementMm, DISPLACEMENT_STEP_MM),
    surface.zone,
    surface.facing,
    surface.trust,
  ]) {
    bytes.set(asBytes(part), at);
    at += part.byteLength;
  }
  if (at !== bytes.length) throw new RangeError('the parts of a surface differ in length');
  return bytes;
}

/** The reverse, on memory of its own. Throws RangeError when the bytes are no surface. */
export function decodeSurface(bytes: Uint8Array): FaceSurface {
  const head = bytes.length < HEAD ? Uint32Array.of(0) : new Uint32Array(bytes.slice(0, HEAD).buffer);
  const [mark, view, vertices = 0, triangles = 0] = head;
  if (mark !== MARK || bytes.length !== HEAD + PER_VERTEX * vertices + PER_TRIANGLE * triangles)
    throw new RangeError(`${bytes.length} bytes that are no surface of a face`);
  let at = HEAD;
  const take = (length: number): ArrayBuffer => {
    at += length;
    return bytes.slice(at - length, at).buffer as ArrayBuffer;
  };
  return {
    view: VIEWS[view!]!,
    placesMm: new Float32Array(take(12 * vertices)),
    platePx: new Float32Array(take(8 * vertices)),
    triangles: new Uint16Array(take(6 * triangles)),
    displacementMm: decodeField(new Uint8Array(take(2 * vertices)), DISPLACEMENT_STEP_MM),
    zone: new Int8Array(take(vertices)),
    facing: new Uint8Array(take(vertices)),
    trust: new Uint8Array(take(vertices)),
  };
}

const asBytes = (part: Uint8Array | Int8Array | Uint16Array | Uint32Array | Float32Array): Uint8Array =>
  new Uint8Array(part.buffer, part.byteOffset, part.byteLength);
