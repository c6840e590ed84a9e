/**
 * The marker segments in front of a JPEG's first scan: what they say of its colours, and putting more of them in.
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
  const added = segments.reduce((sum, segment) => sum + segment.length, 0);
  const out = new Uint8Array(jpeg.length + added);
  out.set(jpeg.subarray(0, 2));
  let at = 2;
  for (const segment of segments) {
    out.set(segment, at);
    at += segment.length;
  }
  out.set(jpeg.subarray(2), at);
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
