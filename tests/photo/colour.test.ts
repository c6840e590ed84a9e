import { converter } from 'culori';
import sharp, { type Exif } from 'sharp';
import { describe, expect, it } from 'vitest';
import { readIccProfile } from '#lib/photo/icc-profile.ts';
import {
  deepTiff,
  developedWhole,
  fileOf,
  GRADIENT,
  gradientCodes,
  greyProfile,
  matrixProfile,
  opened,
  pngWithProfile,
} from '#tests/photo/pictures.ts';

/** A strip of colours, 64 px high so that it counts as a photograph. */
function strip(colours: readonly (readonly [number, number, number])[]) {
  const width = Math.max(64, colours.length);
  const data = new Uint8Array(3 * width * 64);
  for (let i = 0; i < width * 64; i++) data.set(colours[Math.min(colours.length - 1, i % width)], 3 * i);
  return { width, height: 64, data };
}

const linearAt = (photo: { data: Float32Array }, x: number): number[] => Array.from(photo.data.subarray(3 * x, 3 * x + 3));

/** Skin from light to dark, and the corners of the cube. */
const COLOURS: readonly (readonly [number, number, number])[] = [
  [241, 206, 184],
  [224, 172, 105],
  [198, 134, 66],
  [141, 85, 36],
  [78, 48, 30],
  [205, 92, 92],
  [255, 0, 0],
  [0, 255, 0],
  [0, 0, 255],
  [255, 255, 255],
  [0, 0, 0],
  [128, 128, 128],
];

/** D50 columns of the profile that phones embed in Display P3 photographs. */
const P3_COLUMNS = { r: [0.51512, 0.2412, -0.00105], g: [0.29198, 0.69225, 0.04189], b: [0.1571, 0.06657, 0.78407] };
/** D50 columns as Adobe RGB (1998), version 2005-05, annex A gives them for the profile. */
const ADOBE_COLUMNS = { r: [0.60974, 0.31111, 0.01947], g: [0.20528, 0.62567, 0.06087], b: [0.14919, 0.06322, 0.74457] };

describe('oracle: IEC 61966-2-1', () => {
  it('every code of an untagged PNG becomes the light of the standard', async () => {
    const photo = await developedWhole(
      await opened(await fileOf(strip(Array.from({ length: 256 }, (_, c) => [c, 255 - c, c] as const)), 'png')),
    );
    for (let code = 0; code < 256; code++) {
      const expected = code / 255 <= 0.04045 ? code / 255 / 12.92 : ((code / 255 + 0.055) / 1.055) ** 2.4;
      expect(photo.data[3 * code]).toBeCloseTo(expected, 7);
    }
  });

  it('an embedded sRGB profile changes nothing, to the last bit', async () => {
    const plain = await sharp(gradientCodes(255), { raw: { ...GRADIENT, channels: 3 } })
      .png()
      .toBuffer();
    const tagged = await sharp(plain).withIccProfile('srgb').png().toBuffer();
    const photo = await opened(tagged);
    expect(photo.facts.colourProfile).toMatch(/sRGB/i);
    expect((await developedWhole(photo)).data).toEqual((await developedWhole(await opened(plain))).data);
  });
});

describe('oracle: culori 4.0.2', () => {
  it.each([
    ['Display P3', 'p3', 'srgb', P3_COLUMNS],
    ['Adobe RGB (1998)', 'a98', 563 / 256, ADOBE_COLUMNS],
  ] as const)('%s codes become the same linear sRGB, unclamped', async (name, mode, curve, columns) => {
    const file = await pngWithProfile(strip(COLOURS), matrixProfile(name, curve, columns));
    expect((await opened(file)).facts.colourProfile).toBe(name);
    const photo = await developedWhole(await opened(file));
    COLOURS.forEach(([r, g, b], x) => {
      const expected = converter('lrgb')({ mode, r: r / 255, g: g / 255, b: b / 255 });
      linearAt(photo, x).forEach((value, c) =>
        expect(value, `${name} ${r} ${g} ${b}`).toBeCloseTo([expected.r, expected.g, expected.b][c], 3),
      );
    });
  });

  it('a camera that says Adobe RGB by Exif alone (index R03) is believed', async () => {
    const picture = strip(COLOURS);
    const file = await sharp(picture.data, { raw: { width: picture.width, height: 64, channels: 3 } })
      .withExif({ IFD2: { ColorSpace: '65535' }, IFD4: { InteroperabilityIndex: 'R03' } } as Exif)
      .jpeg({ quality: 100, chromaSubsampling: '4:4:4' })
      .toBuffer();
    const photo = await opened(file);
    expect(photo.facts.colourProfile).toBe('Adobe RGB (1998)');
    const developed = await developedWhole(photo);
    const [r, g, b] = COLOURS.at(-1)!; // the strip's long tail, where JPEG is calm
    const expected = converter('lrgb')({ mode: 'a98', r: r / 255, g: g / 255, b: b / 255 });
    linearAt(developed, developed.width - 5).forEach((value, c) => expect(value).toBeCloseTo([expected.r, expected.g, expected.b][c], 2));
  });
});

describe('law', () => {
  it('the same colours written as Display P3 and as sRGB come back as the same light', async () => {
    const plain = await fileOf(strip(COLOURS.slice(0, 6)), 'png');
    const p3 = await sharp(plain).withIccProfile('p3').png().toBuffer();
    expect((await sharp(p3, { ignoreIcc: true }).raw().toBuffer()).subarray(0, 18)).not.toEqual(
      (await sharp(plain).raw().toBuffer()).subarray(0, 18),
    );
    const a = await developedWhole(await opened(plain));
    const b = await developedWhole(await opened(p3));
    for (let i = 0; i < 18; i++) expect(Math.abs(a.data[i] - b.data[i])).toBeLessThan(0.006); // half a code of P3, 8 bits
  });

  it('white is exactly white and grey stays grey whatever the profile', async () => {
    const file = await pngWithProfile(
      strip([
        [255, 255, 255],
        [90, 90, 90],
      ]),
      matrixProfile('odd', 1.8, { r: [0.7, 0.3, 0.05], g: [0.2, 0.6, 0.1], b: [0.1, 0.12, 0.7] }),
    );
    const photo = await developedWhole(await opened(file));
    expect(linearAt(photo, 0).map((v) => Math.round(v * 1e6))).toEqual([1e6, 1e6, 1e6]);
    const [r, g, b] = linearAt(photo, 1);
    expect([g / r, b / r].map((v) => Math.round(v * 1e5))).toEqual([1e5, 1e5]);
    expect(r).toBeCloseTo((90 / 255) ** (461 / 256), 4); // 1.8 in 8.8 fixed point
  });

  it('16 bits keep steps that 8 bits cannot tell, in PNG and TIFF', async () => {
    const { width, height } = GRADIENT;
    const data = new Uint16Array(3 * width * height).map((_, i) => 30000 + (((i / 3) | 0) % width));
    const picture = { width, height, data };
    const png = await sharp(data, { raw: { width, height, channels: 3 } })
      .toColourspace('rgb16')
      .png()
      .toBuffer();
    for (const file of [png, deepTiff(picture, 'II'), deepTiff(picture, 'MM')]) {
      const photo = await opened(file);
      expect(photo.facts.bitDepth).toBe(16);
      const developed = await developedWhole(photo);
      for (let x = 0; x < width; x++) {
        const code = (30000 + x) / 65535;
        expect(developed.data[3 * x]).toBeCloseTo(((code + 0.055) / 1.055) ** 2.4, 7);
      }
    }
  });

  it('16-bit Adobe RGB keeps its depth through the profile', async () => {
    const { width, height } = GRADIENT;
    const data = new Uint16Array(3 * width * height).map((_, i) => 30000 + (((i / 3) | 0) % width));
    const photo = await developedWhole(
      await opened(await pngWithProfile({ width, height, data }, matrixProfile('Adobe RGB (1998)', 563 / 256, ADOBE_COLUMNS))),
    );
    for (let x = 0; x < width; x++) expect(photo.data[3 * x]).toBeCloseTo(((30000 + x) / 65535) ** (563 / 256), 5);
  });

  it('grey pictures fill three equal channels, by their own curve', async () => {
    const { width, height } = GRADIENT;
    const grey = new Uint8Array(width * height).map((_, i) => i % width);
    const file = await sharp(grey, { raw: { width, height, channels: 1 } })
      .toColourspace('b-w')
      .jpeg({ quality: 100 })
      .toBuffer();
    const photo = await opened(file);
    expect(photo.facts.colourModel).toBe('grey');
    const developed = await developedWhole(photo);
    for (let x = 0; x < width; x++) {
      const [r, g, b] = linearAt(developed, x + 40 * width);
      expect([g, b]).toEqual([r, r]);
      expect(Math.abs(r - (x / 255 <= 0.04045 ? x / 255 / 12.92 : ((x / 255 + 0.055) / 1.055) ** 2.4))).toBeLessThan(0.01);
    }
    const glance = await photo.glance(40);
    expect(glance.ok && glance.value.data.length).toBe(3 * 40 * 28);
    expect(readIccProfile(greyProfile(2.25))?.curves?.[0](0.5)).toBeCloseTo(0.5 ** 2.25, 6);
  });

  it('print colours (CMYK) are converted, and flagged', async () => {
    const file = await sharp(strip([[198, 134, 110]]).data, { raw: { width: 64, height: 64, channels: 3 } })
      .toColourspace('cmyk')
      .jpeg({ quality: 100 })
      .toBuffer();
    expect((await sharp(file).metadata()).space).toBe('cmyk');
    const photo = await opened(file);
    expect(photo.facts.colourModel).toBe('cmyk');
    const glance = await photo.glance(64);
    if (!glance.ok) throw new Error(glance.detail);
    [198, 134, 110].forEach((code, c) => expect(Math.abs(glance.value.data[c] - code)).toBeLessThan(8));
  });

  it('what is half transparent lies on mid-grey', async () => {
    const data = new Uint8Array(4 * 64 * 64).fill(255).map((v, i) => (i % 4 === 3 ? 0 : v));
    const file = await sharp(data, { raw: { width: 64, height: 64, channels: 4 } })
      .png()
      .toBuffer();
    const glance = await (await opened(file)).glance(64);
    expect(glance.ok && Array.from(glance.value.data.subarray(0, 3))).toEqual([128, 128, 128]);
    const deep = await sharp(
      Uint16Array.from(data, (v) => v * 257),
      { raw: { width: 64, height: 64, channels: 4 } },
    )
      .toColourspace('rgb16')
      .png()
      .toBuffer();
    const developed = await developedWhole(await opened(deep));
    expect(developed.data[0]).toBeCloseTo(((128 / 255 + 0.055) / 1.055) ** 2.4, 2);
  });

  it('a picture asked for twice gives the same bytes, and keeps its own bytes untouched', async () => {
    const bytes = await fileOf({ ...GRADIENT, data: gradientCodes(255) }, 'jpeg');
    const before = bytes.slice();
    const photo = await opened(bytes);
    const first = await photo.develop({ x: 3.3, y: 2.2, width: 100, height: 70 }, 0.6);
    const second = await photo.develop({ x: 3.3, y: 2.2, width: 100, height: 70 }, 0.6);
    expect(first).toEqual(second);
    expect(bytes).toEqual(before);
  });
});

describe('refusal', () => {
  it('a profile with damage in its curves is not trusted', () => {
    const profile = matrixProfile('bad', 2.2, ADOBE_COLUMNS);
    expect(readIccProfile(profile)?.curves).not.toBeNull();
    expect(readIccProfile(profile.subarray(0, 200))?.curves ?? null).toBeNull();
    expect(readIccProfile(new Uint8Array(400))).toBeNull();
  });
});
