import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { encodeImage, shrinkSrgb8 } from '#lib/photo/encode.ts';
import { linearFromSrgb8, srgb8FromLinear } from '#lib/photo/srgb8.ts';
import type { Srgb8Raster } from '#lib/photo/types.ts';
import { developedWhole, GRADIENT, gradientCodes, opened } from '#tests/photo/pictures.ts';

const picture: Srgb8Raster = { encoding: 'srgb8', ...GRADIENT, data: gradientCodes(255) };

describe('law', () => {
  it('a PNG gives back exactly the codes that went in, by another reader', async () => {
    const bytes = await encodeImage(picture, 'png');
    const back = await sharp(bytes).raw().toBuffer();
    expect(Uint8Array.from(back)).toEqual(picture.data);
  });

  it('light written as PNG and opened again is the same light to half a code', async () => {
    const light = linearFromSrgb8(picture);
    const bytes = await encodeImage({ encoding: 'linear-srgb', ...light }, 'png');
    const back = await developedWhole(await opened(bytes, 'a.png'));
    expect(back.data).toEqual(light.data);
    expect(srgb8FromLinear(back)).toEqual(picture);
  });

  it.each(['jpeg', 'png', 'webp'] as const)('a %s carries the sRGB profile and nothing else', async (format) => {
    const bytes = await encodeImage(picture, format, { quality: 95 });
    const meta = await sharp(bytes).metadata();
    expect(meta.format).toBe(format);
    expect(meta.icc?.length).toBeGreaterThan(100);
    expect([meta.exif, meta.xmp, meta.iptc, meta.orientation]).toEqual([undefined, undefined, undefined, undefined]);
    expect(await encodeImage(picture, format, { quality: 95 })).toEqual(bytes);
    const back = await sharp(bytes).raw().toBuffer();
    const rms = Math.sqrt(picture.data.reduce((sum, code, i) => sum + (code - back[i]) ** 2, 0) / picture.data.length);
    expect(rms).toBeLessThan(3);
  });

  it('grey and half-transparent pictures are written as such', async () => {
    const grey = await encodeImage({ width: 9, height: 4, channels: 1, data: new Uint8Array(36).fill(77) }, 'png');
    expect(Array.from((await sharp(grey).raw().toBuffer()).subarray(0, 3))).toEqual([77, 77, 77]);
    const clear = await encodeImage({ width: 9, height: 4, channels: 4, data: new Uint8Array(144).fill(100) }, 'png');
    expect((await sharp(clear).metadata()).hasAlpha).toBe(true);
  });

  it('thumbnails keep their shape, and are never larger than the picture', async () => {
    const small = await shrinkSrgb8(picture, 50);
    expect([small.width, small.height, small.data.length]).toEqual([50, 35, 3 * 50 * 35]);
    expect(await shrinkSrgb8(picture, 5000)).toBe(picture);
    const meta = await sharp(await encodeImage(picture, 'webp', { longestPx: 40 })).metadata();
    expect([meta.width, meta.height]).toEqual([40, 28]);
    const mean = (data: Uint8Array) => data.reduce((a, b) => a + b) / data.length;
    expect(mean(small.data)).toBeCloseTo(mean(picture.data), 0);
  });
});

describe('law: nothing is kept', () => {
  it('the codec’s cache is off', async () => {
    await encodeImage(picture, 'png');
    expect(sharp.cache()).toMatchObject({ memory: { current: 0, max: 0 }, items: { current: 0, max: 0 } });
  });
});

describe('refusal', () => {
  it('a size that does not fit the data, or a quality of none, is the caller’s mistake', async () => {
    await expect(encodeImage({ ...picture, width: 10 }, 'png')).rejects.toThrow(RangeError);
    await expect(encodeImage(picture, 'jpeg', { quality: 0 })).rejects.toThrow(RangeError);
    await expect(encodeImage(picture, 'jpeg', { quality: 101 })).rejects.toThrow(RangeError);
    expect(() => srgb8FromLinear({ width: 2, height: 2, data: new Float32Array(3) })).toThrow(RangeError);
  });
});
