/**
 * Pictures for the tests of this room, made from nothing: gradients, dots, files with a given lie and profile.
 */
import { crc32, deflateSync } from 'node:zlib';
import sharp from 'sharp';
import { openPhoto } from '#lib/photo/open.ts';
import type { Orientation } from '#lib/photo/orientation.ts';
import type { OpenPhoto } from '#lib/photo/types.ts';

export type Rgb8 = Readonly<{ width: number; height: number; data: Uint8Array }>;

/** Three unequal channels, both axes told apart, one bright corner: no turn or swap goes unseen. */
export const GRADIENT = { width: 160, height: 112 } as const;

/** The gradient's codes, 8 bits (`top` 255) or 16 (`top` 65535, with steps finer than 8 bits can tell). */
export function gradientCodes<T extends 255 | 65535>(top: T): T extends 255 ? Uint8Array : Uint16Array {
  const { width, height } = GRADIENT;
  const codes = top === 255 ? new Uint8Array(3 * width * height) : new Uint16Array(3 * width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const i = 3 * (y * width + x);
      const corner = x > width - 40 && y < 30 ? 0.25 : 0;
      codes[i] = Math.round((0.2 + (0.5 * x) / width + corner) * top);
      codes[i + 1] = Math.round((0.2 + (0.5 * y) / height + corner) * top);
      codes[i + 2] = Math.round((0.6 - (0.3 * x) / width + corner / 2) * top);
    }
  }
  return codes as T extends 255 ? Uint8Array : Uint16Array;
}

/** Round soft dots on grey, far enough apart not to touch; places in px, first pixel centre (0.5, 0.5). */
export function dots(width: number, height: number, places: readonly (readonly [number, number])[], radiusPx: number): Rgb8 {
  const data = new Uint8Array(3 * width * height).fill(40);
  const reach = 5 * radiusPx;
  for (const [px, py] of places) {
    for (let y = Math.max(0, Math.floor(py - reach)); y < Math.min(height, py + reach); y++) {
      for (let x = Math.max(0, Math.floor(px - reach)); x < Math.min(width, px + reach); x++) {
        const light = 40 + 190 * Math.exp(-((x + 0.5 - px) ** 2 + (y + 0.5 - py) ** 2) / (2 * radiusPx * radiusPx));
        const i = 3 * (y * width + x);
        data[i] = data[i + 1] = data[i + 2] = Math.max(data[i], Math.round(light));
      }
    }
  }
  return { width, height, data };
}

/**
 * How an upright picture must lie in a file of the given orientation. Written from the words of the standard (the side of the
 * scene that the stored first row and first column show), independently of the library.
 */
export function asStored(upright: Rgb8, orientation: Orientation): Rgb8 {
  const firstRow = [0, 'top', 'top', 'bottom', 'bottom', 'left', 'right', 'right', 'left'][orientation];
  const firstColumn = [0, 'left', 'right', 'right', 'left', 'top', 'top', 'bottom', 'bottom'][orientation];
  const sideways = firstRow === 'left' || firstRow === 'right';
  const [width, height] = sideways ? [upright.height, upright.width] : [upright.width, upright.height];
  const data = new Uint8Array(3 * width * height);
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const from = (side: string | number | undefined, steps: number, length: number) =>
        side === 'bottom' || side === 'right' ? length - 1 - steps : steps;
      const x = sideways ? from(firstRow, row, upright.width) : from(firstColumn, column, upright.width);
      const y = sideways ? from(firstColumn, column, upright.height) : from(firstRow, row, upright.height);
      const source = 3 * (y * upright.width + x);
      data.set(upright.data.subarray(source, source + 3), 3 * (row * width + column));
    }
  }
  return { width, height, data };
}

export type Format = 'jpeg' | 'png' | 'webp' | 'tiff';

/** A file of nearly lossless quality. */
export async function fileOf({ width, height, data }: Rgb8, format: Format, orientation?: Orientation): Promise<Uint8Array> {
  let pipeline = sharp(data, { raw: { width, height, channels: 3 } });
  if (orientation) pipeline = pipeline.withMetadata({ orientation });
  const options = {
    jpeg: { quality: 100, chromaSubsampling: '4:4:4' },
    png: {},
    webp: { lossless: true },
    tiff: { compression: 'lzw' },
  } as const;
  return new Uint8Array(await pipeline.toFormat(format, options[format]).toBuffer());
}

/** Opens what must open. */
export async function opened(bytes: Uint8Array, name = 'picture.jpg'): Promise<OpenPhoto> {
  const photo = await openPhoto(bytes, name);
  if (!photo.ok) throw new Error(photo.detail);
  return photo.value;
}

/** The whole picture in linear light at its own size. */
export async function developedWhole(photo: OpenPhoto) {
  const developed = await photo.develop({ x: 0, y: 0, width: photo.width, height: photo.height }, 1);
  if (!developed.ok) throw new Error(developed.detail);
  return developed.value;
}

/** A PNG with a profile in it whose pixels are exactly these codes: the image library would convert them. */
export async function pngWithProfile(
  codes: Rgb8 | Readonly<{ width: number; height: number; data: Uint16Array }>,
  profile: Uint8Array,
): Promise<Uint8Array> {
  const { width, height, data } = codes;
  let pipeline = sharp(data, { raw: { width, height, channels: 3 } });
  if (data instanceof Uint16Array) pipeline = pipeline.toColourspace('rgb16');
  const plain = await pipeline.png().toBuffer();
  const afterHeader = 8 + 25;
  return new Uint8Array(
    Buffer.concat([
      plain.subarray(0, afterHeader),
      chunk('iCCP', Buffer.concat([Buffer.from('p\0\0'), deflateSync(profile)])),
      plain.subarray(afterHeader),
    ]),
  );
}

function chunk(type: string, body: Buffer): Buffer {
  const typed = Buffer.concat([Buffer.from(type), body]);
  const out = Buffer.alloc(typed.length + 8);
  out.writeUInt32BE(body.length);
  typed.copy(out, 4);
  out.writeUInt32BE(crc32(typed), typed.length + 4);
  return out;
}

/** A display profile with one curve for all channels, a power or that of sRGB; columns are XYZ of D50. */
export function matrixProfile(
  name: string,
  curve: number | 'srgb',
  columns: Readonly<Record<'r' | 'g' | 'b', readonly number[]>>,
): Uint8Array {
  const desc = Buffer.alloc(12 + name.length + 1 + 90);
  desc.write('desc');
  desc.writeUInt32BE(name.length + 1, 8);
  desc.write(name, 12);
  return profileOf('RGB ', [
    ['desc', desc],
    ['wtpt', fixedPoint('XYZ ', [0.9642, 1, 0.8249])],
    ...(['r', 'g', 'b'] as const).flatMap((c): [string, Buffer][] => [
      [`${c}XYZ`, fixedPoint('XYZ ', columns[c])],
      [`${c}TRC`, curve === 'srgb' ? srgbCurve() : powerCurve(curve)],
    ]),
  ]);
}

/** A grey profile with one power. */
export const greyProfile = (power: number): Uint8Array => profileOf('GRAY', [['kTRC', powerCurve(power)]]);

/** One entry, in 8.8 fixed point. */
const powerCurve = (power: number): Buffer =>
  Buffer.from([...Buffer.from('curv'), 0, 0, 0, 0, 0, 0, 0, 1, Math.floor(power), Math.round((power % 1) * 256), 0, 0]);

/** Parametric type 3: g, a, b, c, d. */
function srgbCurve(): Buffer {
  const curve = fixedPoint('para', [0, 2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045]);
  curve.writeUInt16BE(3, 8);
  return curve;
}

/** A tag of 15.16 numbers. */
function fixedPoint(type: string, values: readonly number[]): Buffer {
  const out = Buffer.alloc(8 + 4 * values.length);
  out.write(type);
  values.forEach((value, i) => {
    out.writeInt32BE(Math.round(value * 65536), 8 + 4 * i);
  });
  return out;
}

function profileOf(space: string, tags: readonly (readonly [string, Buffer])[]): Uint8Array {
  const header = Buffer.alloc(128);
  header.writeUInt32BE(0x02400000, 8);
  header.write('mntr', 12);
  header.write(space, 16);
  header.write('XYZ ', 20);
  header.write('acsp', 36);
  [0.9642, 1, 0.8249].forEach((value, i) => header.writeInt32BE(Math.round(value * 65536), 68 + 4 * i));
  const table = Buffer.alloc(4 + 12 * tags.length);
  table.writeUInt32BE(tags.length);
  let at = header.length + table.length;
  const bodies = tags.map(([tag, body], i) => {
    const padded = Buffer.concat([body, Buffer.alloc((4 - (body.length % 4)) % 4)]);
    table.write(tag, 4 + 12 * i);
    table.writeUInt32BE(at, 8 + 12 * i);
    table.writeUInt32BE(body.length, 12 + 12 * i);
    at += padded.length;
    return padded;
  });
  header.writeUInt32BE(at, 0);
  return new Uint8Array(Buffer.concat([header, table, ...bodies]));
}

/** A plain, uncompressed 16-bit RGB TIFF of one strip, in either byte order, with an orientation: TIFF 6.0. */
export function deepTiff(
  picture: Readonly<{ width: number; height: number; data: Uint16Array }>,
  order: 'II' | 'MM',
  orientation: Orientation = 1,
): Uint8Array {
  const little = order === 'II';
  const { width, height, data } = picture;
  const entries: readonly (readonly [tag: number, type: 3 | 4, count: number, value: number])[] = [
    [256, 4, 1, width],
    [257, 4, 1, height],
    [258, 3, 3, 8 + 2 + 10 * 12 + 4],
    [259, 3, 1, 1],
    [262, 3, 1, 2],
    [273, 4, 1, 8 + 2 + 10 * 12 + 4 + 6],
    [274, 3, 1, orientation],
    [277, 3, 1, 3],
    [278, 4, 1, height],
    [279, 4, 1, 2 * data.length],
  ];
  const bytes = new Uint8Array(8 + 2 + 10 * 12 + 4 + 6 + 2 * data.length);
  const view = new DataView(bytes.buffer);
  bytes.set(Buffer.from(order));
  view.setUint16(2, 42, little);
  view.setUint32(4, 8, little);
  view.setUint16(8, entries.length, little);
  entries.forEach(([tag, type, count, value], i) => {
    const at = 10 + 12 * i;
    view.setUint16(at, tag, little);
    view.setUint16(at + 2, type, little);
    view.setUint32(at + 4, count, little);
    if (type === 3 && count === 1) view.setUint16(at + 8, value, little);
    else view.setUint32(at + 8, value, little);
  });
  for (let k = 0; k < 3; k++) view.setUint16(134 + 2 * k, 16, little);
  data.forEach((value, i) => {
    view.setUint16(140 + 2 * i, value, little);
  });
  return bytes;
}
