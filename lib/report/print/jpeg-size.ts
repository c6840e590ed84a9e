/** Width and height of a JPEG from its frame header. Source: ITU-T T.81 (1992), B.2.2: SOF0 to SOF15 but for DHT, JPG and DAC. */

const NOT_FRAMES = new Set([0xc4, 0xc8, 0xcc]);

/** Throws RangeError for what is no JPEG, or one without a frame. */
export function jpegSize(bytes: Uint8Array): { width: number; height: number } {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes.length < 4 || view.getUint16(0) !== 0xffd8) throw new RangeError('these bytes are no JPEG');
  let at = 2;
  while (at + 9 < bytes.length) {
    if (bytes[at] !== 0xff) throw new RangeError('this JPEG is damaged before its frame header');
    const marker = bytes[at + 1]!;
    if (marker === 0xff) {
      at++;
      continue;
    }
    if (marker >= 0xc0 && marker <= 0xcf && !NOT_FRAMES.has(marker))
      return { height: view.getUint16(at + 5), width: view.getUint16(at + 7) };
    at += 2 + view.getUint16(at + 2);
  }
  throw new RangeError('this JPEG has no frame');
}
