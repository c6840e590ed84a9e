/**
 * An embedded colour profile, as far as it can be applied exactly: the name, the colour model, a curve for each channel
 * and a matrix. Profiles made of tables are named and left to the codec.
 *
 * Model   XYZ of D50 = [r g b columns] * curve(code); grey: Y = curve(code).
 * Source  ICC.1:2010 (profile version 4.3): clause 7 (header, tag table), 9 (tags), 10.5 (curve), 10.15 (parametric curve), F.3.
 */

/** Code 0..1 to linear light 0..1. */
export type Curve = (code: number) => number;

export type IccProfile = Readonly<{
  /** The profile's own description, or null. */
  name: string | null;
  model: 'rgb' | 'grey' | 'cmyk' | 'other';
  /** Three for rgb, one for grey; null when the profile is made of tables, or damaged. */
  curves: readonly Curve[] | null;
  /** Row-major 3x3, linear device RGB to XYZ of D50; null for grey and for tables. */
  toXyzD50: Float64Array | null;
}>;

const SHORTEST = 132;
const LONGEST_NAME = 120;
const MODELS: Readonly<Record<string, IccProfile['model']>> = { 'RGB ': 'rgb', GRAY: 'grey', CMYK: 'cmyk' };

/** Reads a profile; null when the bytes are none. Never throws on damaged bytes. */
export function readIccProfile(bytes: Uint8Array): IccProfile | null {
  if (bytes.length < SHORTEST || ascii(bytes, 36, 4) !== 'acsp') return null;
  const tags = tagsOf(bytes);
  const model = MODELS[ascii(bytes, 16, 4)] ?? 'other';
  const name = nameOf(tags.get('desc'));
  const columns = model === 'rgb' ? ['rXYZ', 'gXYZ', 'bXYZ'].map((tag) => xyzOf(tags.get(tag))) : [];
  const toXyzD50 = columns.length === 3 && columns.every((column) => column !== null) ? matrixOf(columns as Three[]) : null;
  const curveTags = model === 'rgb' ? ['rTRC', 'gTRC', 'bTRC'] : model === 'grey' ? ['kTRC'] : [];
  const curves = curveTags.map((tag) => curveOf(tags.get(tag)));
  const exact = curves.length > 0 && curves.every((curve) => curve !== null) && (model === 'grey' || toXyzD50 !== null);
  return { name, model, curves: exact ? (curves as Curve[]) : null, toXyzD50: exact ? toXyzD50 : null };
}

type Three = readonly [number, number, number];

function tagsOf(bytes: Uint8Array): Map<string, DataView> {
  const data = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const tags = new Map<string, DataView>();
  const count = Math.min(data.getUint32(128), 200);
  for (let i = 0, at = SHORTEST; i < count && at + 12 <= bytes.length; i++, at += 12) {
    const offset = data.getUint32(at + 4);
    const size = data.getUint32(at + 8);
    if (size >= 8 && offset + size <= bytes.length)
      tags.set(ascii(bytes, at, 4), new DataView(bytes.buffer, bytes.byteOffset + offset, size));
  }
  return tags;
}

const ascii = (bytes: Uint8Array, at: number, length: number): string => String.fromCharCode(...bytes.subarray(at, at + length));

const typeOf = (tag: DataView): string => String.fromCharCode(tag.getUint8(0), tag.getUint8(1), tag.getUint8(2), tag.getUint8(3));

/** Signed 15.16 fixed point. */
const fixed = (tag: DataView, at: number): number => tag.getInt32(at) / 65536;

function xyzOf(tag: DataView | undefined): Three | null {
  if (!tag || tag.byteLength < 20 || typeOf(tag) !== 'XYZ ') return null;
  return [fixed(tag, 8), fixed(tag, 12), fixed(tag, 16)];
}

function matrixOf(columns: readonly Three[]): Float64Array | null {
  const [r, g, b] = columns as [Three, Three, Three];
  const m = Float64Array.of(r[0], g[0], b[0], r[1], g[1], b[1], r[2], g[2], b[2]);
  const determinant = m[0] * (m[4] * m[8] - m[5] * m[7]) - m[1] * (m[3] * m[8] - m[5] * m[6]) + m[2] * (m[3] * m[7] - m[4] * m[6]);
  return Math.abs(determinant) > 1e-4 ? m : null;
}

function curveOf(tag: DataView | undefined): Curve | null {
  if (!tag || tag.byteLength < 12) return null;
  const type = typeOf(tag);
  return type === 'curv' ? sampledCurve(tag) : type === 'para' ? parametricCurve(tag) : null;
}

/** No entry is the identity, one is a power in 8.8 fixed point, more are samples at even steps. */
function sampledCurve(tag: DataView): Curve | null {
  const count = tag.getUint32(8);
  if (count === 0) return (code) => code;
  if (12 + 2 * count > tag.byteLength) return null;
  if (count === 1) {
    const power = tag.getUint16(12) / 256;
    return power > 0 ? (code) => code ** power : null;
  }
  const samples = Float64Array.from({ length: count }, (_, i) => tag.getUint16(12 + 2 * i) / 65535);
  return (code) => {
    const place = Math.min(Math.max(code, 0), 1) * (count - 1);
    const i = Math.min(Math.floor(place), count - 2);
    return samples[i] + (place - i) * (samples[i + 1] - samples[i]);
  };
}

/** Function types 0 to 4: (a x + b)^g + e above d, c x + f below; fewer parameters leave the rest at their neutral values. */
function parametricCurve(tag: DataView): Curve | null {
  const kind = tag.getUint16(8);
  const count = [1, 3, 4, 5, 7][kind];
  if (count === undefined || tag.byteLength < 12 + 4 * count) return null;
  const p = Array.from({ length: count }, (_, i) => fixed(tag, 12 + 4 * i));
  const [g, a = 1, b = 0] = p as [number, number?, number?];
  if (!(g > 0 && a !== 0)) return null;
  const power = (x: number): number => Math.max(0, a * x + b) ** g;
  if (kind === 0) return power;
  if (kind === 1) return (x) => (x >= -b / a ? power(x) : 0);
  const c = p[3];
  if (kind === 2) return (x) => (x >= -b / a ? power(x) + c : c);
  const [d, e, f] = [p[4], p[5] ?? 0, p[6] ?? 0];
  return (x) => (x >= d ? power(x) + e : c * x + f);
}

/** Version 2 keeps ASCII, version 4 a list of translations, of which the first serves. */
function nameOf(tag: DataView | undefined): string | null {
  if (!tag || tag.byteLength < 12) return null;
  const type = typeOf(tag);
  let text = '';
  if (type === 'desc') {
    const length = Math.min(tag.getUint32(8), tag.byteLength - 12);
    for (let i = 0; i < length; i++) text += String.fromCharCode(tag.getUint8(12 + i));
  } else if (type === 'mluc' && tag.byteLength >= 28) {
    const [length, offset] = [tag.getUint32(20), tag.getUint32(24)];
    for (let i = 0; i + 1 < length && offset + i + 2 <= tag.byteLength && i < 2 * LONGEST_NAME; i += 2)
      text += String.fromCharCode(tag.getUint16(offset + i));
  }
  const clean = text.split('\0')[0].replace(/\p{C}/gu, '').trim().slice(0, LONGEST_NAME);
  return clean || null;
}
