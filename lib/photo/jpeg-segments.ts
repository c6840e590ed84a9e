/**
 * The marker segments in front of a JPEG's first scan: what they say of its colours, putting more of them in, and taking out
 * what is no part of the picture.
 *
 * Source  ITU-T T.81 annex B (markers); ITU-T T.871 (JFIF); the "Adobe" segment as ITU-T T.872 section 6.5.3 has it;
 *         ICC.1:2010 annex B.4 (a profile in pieces).
 */

export type JpegColourMarks = Readonly<{
  jfif: boolean;
  adobe: boolean;
  profile: boolean;
  /** Components of unequal resolution, which only luminance and colour differences have. */
  subsampled: boolean;
}>;

const APP0 = 0xe0;
const APP2 = 0xe2;
const APP14 = 0xee;
const APP15 = 0xef;
const COMMENT = 0xfe;
const END_OF_IMAGE = 0xd9;
const START_OF_SCAN = 0xda;
/** Frames of Huffman-coded JPEGs: baseline, extended, progressive. */
const FRAMES = [0xc0, 0xc1, 0xc2];
/** A segment's length has two bytes; "ICC_PROFILE\0" and two counters stand in front of each piece. */
const MOST_PROFILE_PIECE = 65_535 - 2 - 14;

/** Never throws on damaged bytes. */
export function jpegColourMarks(jpeg: Uint8Array): JpegColourMarks {
  const marks = { jfif: false, adobe: false, profile: false, subsampled: false };
  for (let at = 2; at + 4 <= jpeg.length && jpeg[at] === 0xff; ) {
    const marker = jpeg[at + 1];
    if (marker === START_OF_SCAN) break;
    if (marker === 0xff) {
      at += 1;
      continue;
    }
    const says = (word: string): boolean => [...word].every((letter, i) => jpeg[at + 4 + i] === letter.charCodeAt(0));
    if (FRAMES.includes(marker)) marks.subsampled = new Set([10, 13, 16].map((offset) => jpeg[at + 1 + offset])).size > 1;
    if (marker === APP0 && says('JFIF')) marks.jfif = true;
    if (marker === APP14 && says('Adobe')) marks.adobe = true;
    if (marker === APP2 && says('ICC_PROFILE')) marks.profile = true;
    at += 2 + ((jpeg[at + 2] << 8) | jpeg[at + 3]);
  }
  return marks;
}

/** The JPEG with segments put in behind its start marker; its own bytes stay as they are. */
export function withSegments(jpeg: Uint8Array, segments: readonly Uint8Array[]): Uint8Array {
  return joined([jpeg.subarray(0, 2), ...segments, jpeg.subarray(2)]);
}

/**
 * The picture alone: the entropy-coded data as it is, the tables it needs, and what its colours mean. What the camera or a program wrote
 * beside it (Exif, maker's notes, comments, smaller pictures, anything behind the end) is left out. Null when the walk fails.
 */
export function withoutMetadata(jpeg: Uint8Array): Uint8Array | null {
  const kept: Uint8Array[] = [jpeg.subarray(0, 2)];
  for (let at = 2; at + 4 <= jpeg.length; ) {
    const marker = jpeg[at + 1];
    if (jpeg[at] !== 0xff) return null;
    if (marker === 0xff) {
      at += 1;
      continue;
    }
    if (marker === END_OF_IMAGE) return null; // before any scan
    const segment = at + 2 + ((jpeg[at + 2] << 8) | jpeg[at + 3]);
    const end = marker === START_OF_SCAN ? endOfScan(jpeg, segment) : segment;
    if (end > jpeg.length) return null;
    if (isOfPicture(jpeg, at, marker)) kept.push(jpeg.subarray(at, end));
    at = end;
    if (marker === START_OF_SCAN && jpeg[at + 1] === END_OF_IMAGE) return joined([...kept, jpeg.subarray(at, at + 2)]);
  }
  return null;
}

/** Everything but application segments and comments; of those the profile, and the two that name the components. */
function isOfPicture(jpeg: Uint8Array, at: number, marker: number): boolean {
  if (marker === COMMENT) return false;
  if (marker < APP0 || marker > APP15) return true;
  const wanted = { [APP0]: 'JFIF', [APP2]: 'ICC_PROFILE', [APP14]: 'Adobe' }[marker];
  return wanted !== undefined && [...wanted].every((letter, i) => jpeg[at + 4 + i] === letter.charCodeAt(0));
}

/** The place of the marker that ends a scan; stuffed zeros and restart markers belong to it. */
function endOfScan(jpeg: Uint8Array, from: number): number {
  for (let at = jpeg.indexOf(0xff, from); at >= 0; at = jpeg.indexOf(0xff, at + 1)) {
    const next = jpeg[at + 1];
    if (next !== 0 && next !== 0xff && !(next >= 0xd0 && next <= 0xd7)) return at;
  }
  return jpeg.length + 1;
}

function joined(parts: readonly Uint8Array[]): Uint8Array {
  const out = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
}

/** Says that the three components are red, green and blue, not a luminance and two colour differences. */
export const rgbSegment = (): Uint8Array => segment(APP14, [...ascii('Adobe'), 0, 100, 0, 0, 0, 0, 0]);

/** A colour profile, in as many segments as it needs; at most 255, which is 16 MB. Longer ones give none. */
export function profileSegments(profile: Uint8Array): Uint8Array[] {
  const count = Math.ceil(profile.length / MOST_PROFILE_PIECE);
  if (count > 255) return [];
  return Array.from({ length: count }, (_, k) =>
    segment(APP2, [...ascii('ICC_PROFILE'), 0, k + 1, count], profile.subarray(k * MOST_PROFILE_PIECE, (k + 1) * MOST_PROFILE_PIECE)),
  );
}

function segment(marker: number, head: readonly number[], body: Uint8Array = new Uint8Array(0)): Uint8Array {
  const length = 2 + head.length + body.length;
  const out = new Uint8Array(2 + length);
  out.set([0xff, marker, length >> 8, length & 255, ...head]);
  out.set(body, 4 + head.length);
  return out;
}

const ascii = (word: string): number[] => [...word].map((letter) => letter.charCodeAt(0));
