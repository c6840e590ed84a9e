/**
 * Every kind of file that an honest program writes: opened, and the same picture seen in it.
 */
import sharp, { type Sharp } from 'sharp';
import { describe, expect, it } from 'vitest';
import { deepTiff, developedWhole, GRADIENT, gradientCodes, opened } from '#tests/photo/pictures.ts';

const codes = gradientCodes(255);
const deepCodes = gradientCodes(65535);
const size = { ...GRADIENT, channels: 3 } as const;
const rgb = (): Sharp => sharp(codes, { raw: size });
const deep = (): Sharp => sharp(deepCodes, { raw: size }).toColourspace('rgb16');
const grey = (): Sharp => rgb().toColourspace('b-w');

/** Largest rms difference from the picture, in steps of 1/255: none, that of lossy coding, that of 256 colours or print colours. */
const [NONE, LOSSY, COARSE] = [0.51, 3, 8];

const KINDS: readonly (readonly [string, () => Promise<Uint8Array>, number, Record<string, unknown>])[] = [
  ['a baseline JPEG, colour at half size', () => rgb().jpeg({ quality: 92 }).toBuffer(), LOSSY, { format: 'jpeg', bitDepth: 8 }],
  ['a progressive JPEG', () => rgb().jpeg({ quality: 92, progressive: true }).toBuffer(), LOSSY, { format: 'jpeg' }],
  [
    'a JPEG of another quantiser, colour in full',
    () => rgb().jpeg({ mozjpeg: true, chromaSubsampling: '4:4:4' }).toBuffer(),
    LOSSY,
    { format: 'jpeg' },
  ],
  ['a PNG', () => rgb().png().toBuffer(), NONE, { format: 'png', bitDepth: 8 }],
  ['an interlaced PNG', () => rgb().png({ progressive: true }).toBuffer(), NONE, { format: 'png' }],
  ['a PNG of 256 colours', () => rgb().png({ palette: true, dither: 0 }).toBuffer(), COARSE, { format: 'png', bitDepth: 8 }],
  ['a 16-bit PNG', () => deep().png().toBuffer(), 0.01, { format: 'png', bitDepth: 16 }],
  ['a PNG with opacity', () => rgb().ensureAlpha(1).png().toBuffer(), NONE, { format: 'png' }],
  ['a 16-bit PNG with opacity', () => deep().ensureAlpha(1).png().toBuffer(), 0.6, { format: 'png', bitDepth: 16 }],
  ['a lossless WebP', () => rgb().webp({ lossless: true }).toBuffer(), NONE, { format: 'webp' }],
  ['a lossy WebP with opacity', () => rgb().ensureAlpha(1).webp({ quality: 95 }).toBuffer(), LOSSY, { format: 'webp' }],
  ['a plain TIFF', () => rgb().tiff({ compression: 'none' }).toBuffer(), NONE, { format: 'tiff', bitDepth: 8 }],
  ['a TIFF, LZW with predictor', () => rgb().tiff({ compression: 'lzw', predictor: 'horizontal' }).toBuffer(), NONE, { format: 'tiff' }],
  [
    'a TIFF in tiles',
    () => rgb().tiff({ compression: 'deflate', tile: true, tileWidth: 64, tileHeight: 64 }).toBuffer(),
    NONE,
    { format: 'tiff' },
  ],
  ['a big TIFF', () => rgb().tiff({ compression: 'lzw', bigtiff: true }).toBuffer(), NONE, { format: 'tiff' }],
  ['a TIFF with JPEG inside', () => rgb().tiff({ compression: 'jpeg', quality: 95 }).toBuffer(), LOSSY, { format: 'tiff' }],
  ['a 16-bit TIFF, little-endian', async () => deepTiff({ ...GRADIENT, data: deepCodes }, 'II'), 0.01, { format: 'tiff', bitDepth: 16 }],
  ['a 16-bit TIFF, big-endian', async () => deepTiff({ ...GRADIENT, data: deepCodes }, 'MM'), 0.01, { format: 'tiff', bitDepth: 16 }],
  [
    'a JPEG in print colours',
    () => rgb().toColourspace('cmyk').jpeg({ quality: 98 }).toBuffer(),
    COARSE,
    { format: 'jpeg', colourModel: 'cmyk' },
  ],
  ['a TIFF in print colours', () => rgb().toColourspace('cmyk').tiff().toBuffer(), COARSE, { format: 'tiff', colourModel: 'cmyk' }],
];

const GREYS: readonly (readonly [string, () => Promise<Uint8Array>])[] = [
  ['JPEG', () => grey().jpeg({ quality: 98 }).toBuffer()],
  ['PNG', () => grey().png().toBuffer()],
  ['PNG with opacity', () => grey().ensureAlpha(1).png().toBuffer()],
  ['16-bit PNG', () => deep().toColourspace('grey16').png().toBuffer()],
  ['TIFF', () => grey().tiff().toBuffer()],
];

const coded = (light: number): number => 255 * (light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055);
const rms = (data: Float32Array, wanted: (i: number) => number): number =>
  Math.sqrt(data.reduce((sum, light, i) => sum + (coded(light) - wanted(i)) ** 2, 0) / data.length);

describe('law', () => {
  it.each(KINDS)('%s shows the picture', async (_, make, tolerance, facts) => {
    const photo = await opened(new Uint8Array(await make()));
    expect(photo.facts).toMatchObject({ widthPx: 160, heightPx: 112, colourModel: 'rgb', ...facts });
    expect(rms((await developedWhole(photo)).data, (i) => deepCodes[i] / 257)).toBeLessThan(tolerance);
    const part = await photo.develop({ x: 40, y: 30, width: 80, height: 60 }, 0.5);
    if (!part.ok) throw new Error(part.detail);
    const { placement, width } = part.value;
    const at = (i: number) => {
      const x = (((i / 3) | 0) % width) + 0.5 + placement.offsetX;
      const y = Math.floor(i / 3 / width) + 0.5 + placement.offsetY;
      return Math.floor(y / placement.scale) * 160 + Math.floor(x / placement.scale);
    };
    expect(rms(part.value.data, (i) => deepCodes[3 * at(i) + (i % 3)] / 257)).toBeLessThan(tolerance + 2.5); // the gradient climbs within a working px
  });

  it.each(GREYS)('a grey %s is grey, and as light as it was', async (_, make) => {
    const bytes = new Uint8Array(await make());
    const photo = await opened(bytes);
    expect(photo.facts.colourModel).toBe('grey');
    const { data } = await developedWhole(photo);
    const by = await sharp(bytes).flatten({ background: '#808080' }).toColourspace('srgb').raw().toBuffer({ resolveWithObject: true });
    const channels = by.info.channels;
    expect(rms(data, (i) => by.data[Math.floor(i / 3) * channels])).toBeLessThan(1);
    for (let i = 0; i < data.length; i += 3) expect(data[i + 1] === data[i] && data[i + 2] === data[i]).toBe(true);
  });
});
