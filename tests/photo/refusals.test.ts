import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { openPhoto } from '#lib/photo/open.ts';
import { deepTiff, type Format, fileOf, GRADIENT, gradientCodes } from '#tests/photo/pictures.ts';

/** With a pattern that no codec can shorten much. */
const rough = { ...GRADIENT, data: gradientCodes(255).map((code, i) => code ^ ((i * i * 37 + (i >> 3)) & 31)) };
const gradient = { ...GRADIENT, data: gradientCodes(255) };
const text = (words: string): Uint8Array => new Uint8Array(Buffer.from(words));

async function refusalOf(bytes: Uint8Array, name = 'IMG_1234.jpg') {
  const photo = await openPhoto(bytes, name);
  if (photo.ok) {
    const whole = await photo.value.develop({ x: 0, y: 0, width: photo.value.width, height: photo.value.height }, 1);
    if (whole.ok) throw new Error('it was read');
    return whole;
  }
  return photo;
}

/** An ISO media file that begins with these brands. */
const isoFile = (...brands: string[]): Uint8Array => {
  const body = Buffer.concat([
    Buffer.from('ftyp'),
    Buffer.from(brands[0]!),
    Buffer.alloc(4),
    ...brands.slice(1).map((brand) => Buffer.from(brand)),
  ]);
  const size = Buffer.alloc(4);
  size.writeUInt32BE(body.length + 4);
  return new Uint8Array(Buffer.concat([size, body]));
};

/** A TIFF whose first directory has these tags (short values), and nothing behind it. */
function tiffWith(tags: readonly (readonly [number, number])[]): Uint8Array {
  const bytes = new DataView(new ArrayBuffer(8 + 2 + 12 * tags.length + 4));
  bytes.setUint32(0, 0x49492a00);
  bytes.setUint32(4, 8, true);
  bytes.setUint16(8, tags.length, true);
  tags.forEach(([tag, value], i) => {
    bytes.setUint16(10 + 12 * i, tag, true);
    bytes.setUint16(12 + 12 * i, 3, true);
    bytes.setUint32(14 + 12 * i, 1, true);
    bytes.setUint16(18 + 12 * i, value, true);
  });
  return new Uint8Array(bytes.buffer);
}

describe('refusal', () => {
  it('empty: no bytes', async () => {
    expect(await refusalOf(new Uint8Array(0))).toEqual({
      ok: false,
      why: 'empty',
      detail: 'IMG_1234.jpg is empty: it holds no bytes at all. Copy the photograph again from the camera or phone.',
    });
  });

  it('not-an-image: text and random bytes, whatever the name', async () => {
    const words = await refusalOf(text('Dear colleague,\nplease find attached\n'));
    expect(words).toMatchObject({ why: 'not-an-image', detail: expect.stringContaining('holds text, not a picture') });
    expect(await refusalOf(Uint8Array.from({ length: 300 }, (_, i) => (i * 91 + 7) % 256))).toMatchObject({ why: 'not-an-image' });
    expect(await refusalOf(new Uint8Array(1))).toMatchObject({ why: 'not-an-image' });
  });

  it.each([
    ['a GIF', text('GIF89a\u0001\u0002'), 'GIF'],
    ['a PDF', text('%PDF-1.7\n'), 'PDF'],
    ['an SVG', text('<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg"></svg>'), 'SVG'],
    ['a BMP', new Uint8Array(Buffer.concat([Buffer.from('BM'), Buffer.alloc(60)])), 'BMP'],
    ['an archive', Uint8Array.of(0x50, 0x4b, 3, 4, 0, 0), 'ZIP'],
    ['an AVIF', isoFile('avif', 'mif1', 'miaf'), 'AVIF'],
    ['a film', isoFile('isom', 'mp42'), 'film'],
    ['a phone’s film', isoFile('qt  ', 'qt  '), 'film'],
    ['a raw file of the film family', isoFile('crx ', 'isom'), 'raw camera file'],
    ['a DNG', tiffWith([[50706, 1]]), 'raw camera file'],
    [
      'a raw file with a preview in front',
      tiffWith([
        [254, 1],
        [330, 99],
      ]),
      'raw camera file',
    ],
    ['a JPEG XL', Uint8Array.of(0xff, 0x0a, 1, 2, 3), 'JPEG XL'],
  ])('unsupported: %s is named, and a way out given', async (_, bytes, word) => {
    const refusal = await refusalOf(bytes, 'C:\\photos\\face.jpg');
    expect(refusal.why).toBe('unsupported');
    expect(refusal.detail).toContain(word);
    expect(refusal.detail).toMatch(/^face\.jpg is .*\. [A-Z][^.]*\.( |$)/);
  });

  it.each([
    ['scrgb', 'scrgb, float numbers'],
    ['lab', 'lab, float numbers'],
  ])('unsupported: a TIFF in %s is told apart', async (space, words) => {
    const grey = sharp({ create: { width: 64, height: 64, channels: 3, background: '#888' } });
    const file = await grey.toColourspace(space).tiff({ compression: 'none' }).toBuffer();
    expect(await refusalOf(new Uint8Array(file))).toMatchObject({ why: 'unsupported', detail: expect.stringContaining(words) });
  });

  it.each(['jpeg', 'png', 'webp', 'tiff'] as const)(
    'truncated: a %s cut at any length is refused, and says that it is cut or damaged',
    async (format: Format) => {
      const whole = await fileOf(rough, format);
      for (let share = 0.06; share < 1; share += 0.0833) {
        const refusal = await refusalOf(whole.slice(0, Math.floor(whole.length * share)));
        expect(['truncated', 'unreadable'], `${format} at ${share}: ${refusal.detail}`).toContain(refusal.why);
        if (share > 0.5) expect(refusal).toMatchObject({ why: 'truncated', detail: expect.stringContaining('cut short') });
      }
    },
  );

  it('truncated: a JPEG with a thumbnail is not fooled by the thumbnail’s end', async () => {
    const thumbnail = await fileOf({ width: 64, height: 64, data: new Uint8Array(3 * 64 * 64).fill(99) }, 'jpeg');
    const whole = await fileOf(gradient, 'jpeg');
    const size = thumbnail.length + 2;
    const segment = Buffer.concat([Buffer.from([0xff, 0xe5, size >> 8, size & 255]), thumbnail]);
    const carrying = new Uint8Array(Buffer.concat([whole.subarray(0, 2), segment, whole.subarray(2)]));
    expect((await openPhoto(carrying, 'a.jpg')).ok).toBe(true);
    expect(await openPhoto(carrying.slice(0, -40), 'a.jpg')).toMatchObject({ why: 'truncated' });
  });

  it('too-small: a preview is told from an original', async () => {
    const file = await fileOf({ width: 63, height: 200, data: new Uint8Array(3 * 63 * 200) }, 'png');
    expect(await refusalOf(file)).toMatchObject({ why: 'too-small', detail: expect.stringContaining('63 x 200 px') });
  });

  it('too-large: refused by the header, before a pixel is decoded', async () => {
    const file = Buffer.from(await fileOf(gradient, 'jpeg'));
    const frame = file.indexOf(Buffer.from([0xff, 0xc0]));
    file.writeUInt16BE(15000, frame + 5);
    file.writeUInt16BE(14000, frame + 7);
    expect(await refusalOf(new Uint8Array(file))).toMatchObject({
      why: 'too-large',
      detail: expect.stringContaining('14000 x 15000 px, 210 megapixels'),
    });
  });

  it('unreadable: the right beginning and nothing behind it', async () => {
    const jpeg = new Uint8Array(
      Buffer.concat([Buffer.from([0xff, 0xd8, 0xff, 0xe0, 0, 4, 0, 0]), Buffer.alloc(200, 7), Buffer.from([0xff, 0xd9])]),
    );
    expect(await refusalOf(jpeg)).toMatchObject({ why: 'unreadable', detail: expect.stringContaining('damaged') });
    expect(await refusalOf(tiffWith([[254, 0]]))).toMatchObject({ why: 'unreadable' });
    const deep = deepTiff({ ...GRADIENT, data: gradientCodes(65535) }, 'II');
    expect(await refusalOf(deep.slice(0, 1000))).toMatchObject({ why: 'truncated' });
  });
});

describe('law', () => {
  it('what other programs write beside the pixels does not matter', async () => {
    const whole = await fileOf(gradient, 'jpeg');
    const trailer = new Uint8Array(Buffer.concat([whole, Buffer.from('a film that a phone hides behind the picture')]));
    const padded = new Uint8Array(Buffer.concat([whole.subarray(0, 2), Buffer.from([0xff, 0xff]), whole.subarray(2)]));
    for (const bytes of [trailer, padded]) {
      const photo = await openPhoto(bytes, 'a.jpg');
      if (!photo.ok) throw new Error(photo.detail);
      expect((await photo.value.glance(100)).ok).toBe(true);
    }
  });
});
