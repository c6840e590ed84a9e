/**
 * What a JPEG's frame header says, which its DICOM elements have to repeat, and the colour profile inside it.
 * Source  ITU-T T.81 annex B.2.2; ICC.1:2010 annex B.4.
 */
export type JpegFrame = Readonly<{
  width: number;
  height: number;
  components: number;
  /** Baseline: sequential, Huffman-coded, 8 bits. */
  baseline: boolean;
  profile: Uint8Array | null;
}>;

const BASELINE = 0xc0;
const START_OF_SCAN = 0xda;
const APP2 = 0xe2;
const PROFILE_HEAD = 14;

/** Null when there is no frame header. */
export function readJpegFrame(jpeg: Uint8Array): JpegFrame | null {
  const view = new DataView(jpeg.buffer, jpeg.byteOffset, jpeg.byteLength);
  const profile: Uint8Array[] = [];
  let frame: Omit<JpegFrame, 'profile'> | null = null;
  if (jpeg[0] !== 0xff || jpeg[1] !== 0xd8) return null;
  for (let at = 2; at + 10 <= jpeg.length && jpeg[at] === 0xff; ) {
    const marker = jpeg[at + 1];
    if (marker === START_OF_SCAN) break;
    const length = view.getUint16(at + 2);
    const body = jpeg.subarray(at + 4, at + 2 + length);
    if (marker === APP2 && String.fromCharCode(...body.subarray(0, 11)) === 'ICC_PROFILE') profile.push(body.subarray(PROFILE_HEAD));
    if (marker >= BASELINE && marker <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(marker))
      frame = {
        baseline: marker === BASELINE && body[0] === 8,
        height: view.getUint16(at + 5),
        width: view.getUint16(at + 7),
        components: body[5],
      };
    at += 2 + length;
  }
  return frame && { ...frame, profile: profile.length > 0 ? concat(profile) : null };
}

function concat(parts: readonly Uint8Array[]): Uint8Array {
  const out = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
}
