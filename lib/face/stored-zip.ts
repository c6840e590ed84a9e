/**
 * A zip of stored (uncompressed) files, the same bytes for the same files.
 *
 * Source  APPNOTE.TXT, .ZIP File Format Specification, sections 4.3.7, 4.3.12 and 4.3.16. The time stamp is the
 *         format's first day; each file's data starts at a multiple of 16, so that models can be read in place.
 */
import { crc32 } from 'node:zlib';

const LOCAL_LENGTH = 30;
const CENTRAL_LENGTH = 46;
const END_LENGTH = 22;
const ALIGNMENT = 16;
const VERSION = 10; // 1.0: stored files only
const FIRST_DAY = 0x21; // 1 January 1980

/** Files in the order given; names are ASCII. */
export function storedZip(files: readonly Readonly<{ name: string; data: Uint8Array }>[]): Uint8Array {
  let size = END_LENGTH;
  for (const f of files) size += LOCAL_LENGTH + CENTRAL_LENGTH + 2 * f.name.length + ALIGNMENT + f.data.length;
  const whole = new Uint8Array(size);
  const view = new DataView(whole.buffer);
  const shared = (at: number, name: string, data: Uint8Array, crc: number): void => {
    view.setUint16(at, VERSION, true);
    view.setUint16(at + 8, FIRST_DAY, true);
    view.setUint32(at + 10, crc, true);
    view.setUint32(at + 14, data.length, true);
    view.setUint32(at + 18, data.length, true);
    view.setUint16(at + 22, name.length, true);
  };
  const writeName = (at: number, name: string): void => {
    for (let i = 0; i < name.length; i++) whole[at + i] = name.charCodeAt(i);
  };

  let at = 0;
  const placed = files.map(({ name, data }) => {
    const crc = crc32(data);
    const start = at;
    const padding = (ALIGNMENT - ((start + LOCAL_LENGTH + name.length) % ALIGNMENT)) % ALIGNMENT;
    view.setUint32(start, 0x04034b50, true);
    shared(start + 4, name, data, crc);
    view.setUint16(start + 28, padding, true);
    writeName(start + LOCAL_LENGTH, name);
    at = start + LOCAL_LENGTH + name.length + padding;
    whole.set(data, at);
    at += data.length;
    return { name, data, crc, start };
  });
  const directory = at;
  for (const { name, data, crc, start } of placed) {
    view.setUint32(at, 0x02014b50, true);
    view.setUint16(at + 4, VERSION, true);
    shared(at + 6, name, data, crc);
    view.setUint32(at + 42, start, true);
    writeName(at + CENTRAL_LENGTH, name);
    at += CENTRAL_LENGTH + name.length;
  }
  view.setUint32(at, 0x06054b50, true);
  view.setUint16(at + 8, files.length, true);
  view.setUint16(at + 10, files.length, true);
  view.setUint32(at + 12, at - directory, true);
  view.setUint32(at + 16, directory, true);
  return whole.slice(0, at + END_LENGTH);
}
