/** JPEG files without what is no part of the picture: the pixels stay, everything else goes. */
import fc from 'fast-check';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { jpegColourMarks, withoutMetadata, withSegments } from '#lib/photo/jpeg-segments.ts';
import { GRADIENT, gradientCodes } from '#tests/photo/pictures.ts';

const raw = () => sharp(gradientCodes(255), { raw: { ...GRADIENT, channels: 3 } });
const told = () => raw().withMetadata({ icc: 'p3', exif: { IFD0: { Artist: 'Somebody', ImageDescription: 'a secret' } } });
const segment = (marker: number, text: string): Uint8Array =>
  new Uint8Array(Buffer.concat([Buffer.from([0xff, marker, 0, 2 + text.length]), Buffer.from(text)]));

const KINDS = {
  baseline: () => told().jpeg({ quality: 90 }),
  'colour in full': () => told().jpeg({ quality: 95, chromaSubsampling: '4:4:4' }),
  progressive: () => told().jpeg({ quality: 90, progressive: true }),
  grey: () => told().toColourspace('b-w').jpeg({ quality: 90 }),
} as const;

describe('law', () => {
  it.each(Object.keys(KINDS) as (keyof typeof KINDS)[])('%s: the same pixels and profile, nobody named', async (kind) => {
    const plain = new Uint8Array(await KINDS[kind]().toBuffer());
    const talkative = withSegments(plain, [
      segment(0xfe, 'a secret comment'),
      segment(0xed, 'a secret caption'),
      segment(0xe2, 'MPF\0 a secret'),
    ]);
    const trailing = new Uint8Array(Buffer.concat([talkative, Buffer.from('a secret film behind the end')]));
    expect(Buffer.from(trailing).includes('Somebody')).toBe(true);
    const bare = withoutMetadata(trailing)!;
    expect(Buffer.from(bare).includes('Somebody') || Buffer.from(bare).includes('secret')).toBe(false);
    expect((await sharp(bare).metadata()).exif).toBeUndefined();
    expect([...bare.subarray(-2)]).toEqual([0xff, 0xd9]);
    const pixels = (bytes: Uint8Array): Promise<Buffer> => sharp(bytes, { ignoreIcc: true }).raw().toBuffer();
    expect((await pixels(bare)).equals(await pixels(plain))).toBe(true);
    expect(jpegColourMarks(bare)).toEqual(jpegColourMarks(plain));
    expect((await sharp(bare).metadata()).icc).toEqual((await sharp(plain).metadata()).icc);
    expect(Buffer.from(withoutMetadata(bare)!).equals(Buffer.from(bare))).toBe(true);
  });

  it('wounded bytes give a picture or null, never an error, 300 times', async () => {
    const file = new Uint8Array(await KINDS.baseline().toBuffer());
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.nat(700), fc.nat(255)), { maxLength: 10 }), fc.nat(file.length), (wounds, keep) => {
        const bytes = file.slice(0, keep);
        for (const [at, value] of wounds) if (at < bytes.length) bytes[at] = value;
        const bare = withoutMetadata(bytes);
        expect(bare === null || bare.length <= bytes.length).toBe(true);
        jpegColourMarks(bytes);
      }),
      { numRuns: 300, seed: 20261125 },
    );
  });
});
