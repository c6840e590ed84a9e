import exifr from 'exifr';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { ASKED, readExifFacts } from '#lib/photo/exif-facts.ts';
import { deepTiff, type Format, GRADIENT, gradientCodes, opened } from '#tests/photo/pictures.ts';

type Tags = Record<string, Record<string, string>>;

const TAKEN: Tags = {
  IFD0: { Make: 'NIKON CORPORATION', Model: 'NIKON D850' },
  IFD2: {
    DateTimeOriginal: '2026:03:04 15:16:17',
    Flash: '25',
    FocalLength: '105/1',
    FocalLengthIn35mmFilm: '157',
    LensModel: '105mm f/2.8',
  },
  IFD3: { GPSLatitudeRef: 'N', GPSLatitude: '52/1 31/1 12/1', GPSLongitudeRef: 'E', GPSLongitude: '13/1 24/1 18/1' },
};

async function tagged(tags: Tags, format: Exclude<Format, 'tiff'> = 'jpeg'): Promise<Uint8Array> {
  const picture = sharp(gradientCodes(255), { raw: { ...GRADIENT, channels: 3 } });
  return new Uint8Array(await picture.withExif(tags).toFormat(format).toBuffer());
}

describe('law', () => {
  it.each(['jpeg', 'png', 'webp'] as const)('time, camera, lens, focal lengths and flash are read from %s', async (format) => {
    const { facts } = await opened(await tagged(TAKEN, format));
    expect(facts).toEqual({
      format,
      widthPx: 160,
      heightPx: 112,
      bitDepth: 8,
      colourProfile: null,
      colourModel: 'rgb',
      orientation: 1,
      takenAt: '2026-03-04T15:16:17',
      camera: 'NIKON D850',
      lens: '105mm f/2.8',
      focalLengthMm: 105,
      focalLength35Mm: 157,
      flashFired: true,
    });
  });

  it('the place is in the file, and nowhere in what is read from it, not even on the way', async () => {
    const bytes = await tagged(TAKEN);
    const block = (await sharp(bytes).metadata()).exif!.subarray(6);
    const places = (tags: object) => Object.keys(tags).filter((key) => /gps|itude/i.test(key));
    expect(places(await exifr.parse(block, true))).toContain('GPSLatitude');
    expect(await exifr.parse(block, ASKED)).toHaveProperty('DateTimeOriginal');
    expect(places(await exifr.parse(block, ASKED))).toEqual([]);
    expect(Buffer.from(bytes).includes(Buffer.from([52, 0, 0, 0, 1, 0, 0, 0, 31, 0, 0, 0]))).toBe(true);
    const photo = await opened(bytes);
    const developed = await photo.develop({ x: 0, y: 0, width: 64, height: 64 }, 0.5);
    const said = JSON.stringify([photo.facts, developed]);
    for (const trace of ['GPS', 'latitude', 'longitude', '52.5', '13.4']) expect(said).not.toContain(trace);
  });

  it('turns as a TIFF’s own tag says', async () => {
    const photo = await opened(deepTiff({ ...GRADIENT, data: gradientCodes(65535) }, 'MM', 8));
    expect([photo.facts.orientation, photo.width, photo.height]).toEqual([8, 112, 160]);
  });

  it('a maker who is not in the model’s name is put in front of it', async () => {
    const named = async (tags: Record<string, string>) => (await opened(await tagged({ IFD0: tags }))).facts.camera;
    expect(await named({ Make: 'Maker', Model: 'One' })).toBe('Maker One');
    expect(await named({ Make: 'Maker', Model: 'MAKER One' })).toBe('MAKER One');
    expect(await named({ Model: 'One' })).toBe('One');
    expect(await named({ Make: 'Maker' })).toBe('Maker');
  });

  it('a flash that did not fire is not a flash nobody mentions', async () => {
    expect((await opened(await tagged({ IFD2: { Flash: '16' } }))).facts.flashFired).toBe(false);
    expect((await opened(await tagged({ IFD0: { Make: 'M' } }))).facts.flashFired).toBeNull();
  });

  it('impossible times are no times', async () => {
    const time = async (DateTimeOriginal: string) => (await opened(await tagged({ IFD2: { DateTimeOriginal } }))).facts.takenAt;
    expect(await time('2024:02:29 23:59:59')).toBe('2024-02-29T23:59:59');
    for (const wrong of ['2023:02:29 10:00:00', '0000:00:00 00:00:00', '2024:13:01 10:00:00', '2024:01:01 24:00:00', 'yesterday'])
      expect(await time(wrong), wrong).toBeNull();
  });
});

describe('refusal', () => {
  it('a damaged block says nothing, and does not throw', async () => {
    const nothing = {
      orientation: 1,
      takenAt: null,
      camera: null,
      lens: null,
      focalLengthMm: null,
      focalLength35Mm: null,
      flashFired: null,
      saysAdobeRgb: false,
    };
    expect(await readExifFacts(null)).toEqual(nothing);
    expect(await readExifFacts(new Uint8Array(0))).toEqual(nothing);
    expect(await readExifFacts(Uint8Array.from({ length: 200 }, (_, i) => (i * 37) % 256))).toEqual(nothing);
    const real = (await sharp(await tagged(TAKEN)).metadata()).exif!.subarray(6);
    for (let cut = 8; cut < real.length; cut += 7) expect(await readExifFacts(real.subarray(0, cut))).toHaveProperty('orientation');
  });
});
