/**
 * Photographs in DICOM files: the picture that was put in comes out, with its day and side, or a sentence that says why not.
 */
import { createHash } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import sharp from 'sharp';
import { afterAll, describe, expect, it } from 'vitest';
import { photographInDicom } from '#lib/photo/dicom.ts';
import { jpegColourMarks } from '#lib/photo/jpeg-segments.ts';
import { openPhoto } from '#lib/photo/open.ts';
import { PHOTO_FAULTS } from '#lib/photo/types.ts';
import { hasProgram, hasPython, pythonJson, runProgram } from '#tests/debian-tool.ts';
import { dicomBytes, type Element, encapsulated, pictureElements, SECONDARY_CAPTURE, SYNTAXES } from '#tests/photo/dicom-bytes.ts';
import { GRADIENT, gradientCodes } from '#tests/photo/pictures.ts';

const codes = gradientCodes(255);
const size = { ...GRADIENT, channels: 3 } as const;
const raw = () => sharp(codes, { raw: size });
const jpeg = new Uint8Array(await raw().jpeg({ quality: 92 }).toBuffer());
/** Its length is odd or made so, since that is where writers go wrong. */
const oddJpeg =
  jpeg.length % 2 === 1
    ? jpeg
    : new Uint8Array(Buffer.concat([jpeg.subarray(0, 2), Buffer.from([0xff, 0xfe, 0, 3, 65]), jpeg.subarray(2)]));
const grey = Uint8Array.from({ length: GRADIENT.width * GRADIENT.height }, (_, i) => codes[3 * i]);
const planes = Uint8Array.from({ length: codes.length }, (_, i) => {
  const count = GRADIENT.width * GRADIENT.height;
  return codes[3 * (i % count) + Math.floor(i / count)];
});
const wide = Uint8Array.from({ length: 2 * codes.length }, (_, i) => (i % 2 === 0 ? 0x5a : codes[i >> 1]));

const withPixels = (elements: readonly Element[], pixels: Uint8Array): Element[] => [...elements, [0x7fe0, 0x0010, 'OW', pixels]];
const inJpeg = (changed = {}, fragments: readonly Uint8Array[] = [oddJpeg]): Uint8Array =>
  dicomBytes('jpeg', pictureElements(GRADIENT, { photometric: 'YBR_FULL_422', ...changed }), encapsulated(fragments));

async function seen(bytes: Uint8Array, name = 'a.dcm') {
  const photo = await openPhoto(bytes, name);
  if (!photo.ok) throw new Error(photo.detail);
  const glance = await photo.value.glance(5000);
  if (!glance.ok) throw new Error(glance.detail);
  return { facts: photo.value.facts, sha256: photo.value.sha256, data: glance.value.data };
}

function rms(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += (a[i] - b[i]) ** 2;
  return Math.sqrt(sum / a.length);
}

async function refusalOf(bytes: Uint8Array) {
  const photo = await openPhoto(bytes, 'dir/a.dcm');
  if (photo.ok) throw new Error('it was read');
  expect(photo.detail).toMatch(/^a\.dcm .*\.$/);
  return photo;
}

describe('law', () => {
  it('gives back the JPEG that was put in, byte for byte, also of odd length and in several fragments', () => {
    for (const fragments of [[oddJpeg], [oddJpeg.subarray(0, 1000), oddJpeg.subarray(1000, 1500), oddJpeg.subarray(1500)]]) {
      const inside = photographInDicom(inJpeg({}, fragments), 'a.dcm');
      if (!inside.ok) throw new Error(inside.detail);
      expect(inside.value).toMatchObject({ format: 'jpeg', takenAt: '2026-09-01T10:30:15', laterality: 'left' });
      expect(Buffer.from(inside.value.bytes).equals(Buffer.from(oddJpeg))).toBe(true);
    }
  });

  it('measures the same light as from the JPEG itself', async () => {
    const [outside, inside] = await Promise.all([openPhoto(oddJpeg, 'a.jpg'), openPhoto(inJpeg(), 'a.dcm')]);
    if (!outside.ok || !inside.ok) throw new Error('not read');
    const crop = { x: 3, y: 5, width: 150, height: 100 };
    for (const scale of [1, 0.7, 0.25]) {
      const [a, b] = [await outside.value.develop(crop, scale), await inside.value.develop(crop, scale)];
      if (!a.ok || !b.ok) throw new Error('not developed');
      expect(b.value.data).toEqual(a.value.data);
    }
    expect(inside.value.facts).toMatchObject({ format: 'dicom', takenAt: '2026-09-01T10:30:15', laterality: 'left', bitDepth: 8 });
    expect(inside.value.sha256).not.toBe(outside.value.sha256);
  });

  const bare: readonly (readonly [string, Uint8Array, ArrayLike<number>])[] = [
    ['RGB, pixel by pixel', dicomBytes('explicit', withPixels(pictureElements(GRADIENT), codes)), codes],
    ['RGB, plane by plane', dicomBytes('explicit', withPixels(pictureElements(GRADIENT, { planar: 1 }), planes)), codes],
    ['RGB without types in the file', dicomBytes('implicit', withPixels(pictureElements(GRADIENT), codes)), codes],
    [
      'RGB as a Secondary Capture',
      dicomBytes('explicit', withPixels(pictureElements(GRADIENT, { sopClass: SECONDARY_CAPTURE }), codes)),
      codes,
    ],
    ['RGB of 16 bits', dicomBytes('explicit', withPixels(pictureElements(GRADIENT, { bits: 16 }), wide)), codes],
    [
      'grey',
      dicomBytes('explicit', withPixels(pictureElements(GRADIENT, { photometric: 'MONOCHROME2', samples: 1 }), grey)),
      codes.map((_, i) => grey[Math.floor(i / 3)]),
    ],
    [
      'grey of which 0 is white',
      dicomBytes('explicit', withPixels(pictureElements(GRADIENT, { photometric: 'MONOCHROME1', samples: 1 }), grey)),
      codes.map((_, i) => 255 - grey[Math.floor(i / 3)]),
    ],
  ];
  it.each(bare)('shows uncompressed %s as it is', async (_, file, expected) => {
    const { data, facts } = await seen(file);
    // Half a code: 16 bits are rounded to 8 for showing.
    expect(Math.max(...Array.from(data, (code, i) => Math.abs(code - expected[i])))).toBeLessThanOrEqual(1);
    expect(rms(data, expected)).toBeLessThan(facts.bitDepth === 16 ? 0.51 : 1e-9);
  });

  it('believes a JPEG about its own colours, and the file when the JPEG says nothing', async () => {
    const rgbJpeg = await raw().jpeg({ quality: 95, chromaSubsampling: '4:4:4' }).toBuffer();
    // No segment of this stream names its colours. Declared as RGB, its codes are red, green and blue themselves.
    expect(jpegColourMarks(rgbJpeg)).toEqual({ jfif: false, adobe: false, profile: false, subsampled: false });
    const bareStream = new Uint8Array(rgbJpeg);
    const asRgb = await seen(inJpeg({ photometric: 'RGB' }, [bareStream]));
    const ycc = await sharp(rgbJpeg).raw().toBuffer();
    // Y of the stream is what the red channel must now show: BT.601 luma of the picture.
    const luma = Uint8Array.from({ length: grey.length }, (_, i) =>
      Math.round(0.299 * ycc[3 * i] + 0.587 * ycc[3 * i + 1] + 0.114 * ycc[3 * i + 2]),
    );
    expect(
      rms(
        Uint8Array.from(luma, (_, i) => asRgb.data[3 * i]),
        luma,
      ),
    ).toBeLessThan(1.5);
    const jfif = [0xff, 0xe0, 0, 16, 0x4a, 0x46, 0x49, 0x46, 0, 1, 1, 0, 0, 1, 0, 1, 0, 0];
    const stating = new Uint8Array(Buffer.concat([rgbJpeg.subarray(0, 2), Buffer.from(jfif), rgbJpeg.subarray(2)]));
    // Colour at half size, and a segment that says so: two streams that can't be RGB, whatever the element claims.
    for (const stream of [oddJpeg, stating])
      expect(rms((await seen(inJpeg({ photometric: 'RGB' }, [stream]))).data, codes)).toBeLessThan(3);
  });

  it('applies a profile that only the DICOM file holds', async () => {
    const p3 = await raw().withIccProfile('p3').png().toBuffer();
    const profile = new Uint8Array((await sharp(p3).metadata()).icc!);
    const p3Codes = new Uint8Array(await sharp(p3, { ignoreIcc: true }).raw().toBuffer());
    const expected = await seen(new Uint8Array(p3), 'a.png');
    const elements = (photometric: string) => [...pictureElements(GRADIENT, { photometric }), [0x0028, 0x2000, 'OB', profile] as Element];
    const uncompressed = await seen(dicomBytes('explicit', withPixels(elements('RGB'), p3Codes)));
    expect(rms(uncompressed.data, expected.data)).toBeLessThan(1e-9);
    expect(uncompressed.facts.colourProfile).toBe(expected.facts.colourProfile);
    const p3Jpeg = await sharp(p3Codes, { raw: size }).jpeg({ quality: 100, chromaSubsampling: '4:4:4' }).toBuffer();
    const compressed = await seen(dicomBytes('jpeg', elements('YBR_FULL_422'), encapsulated([p3Jpeg])));
    expect(rms(compressed.data, expected.data)).toBeLessThan(1.5);
  });

  it('keeps to itself whose photograph it is', async () => {
    const { facts } = await seen(inJpeg());
    expect(JSON.stringify(facts)).not.toMatch(/secret|name/i);
  });

  it('survives 250 wounds in good time: an answer or a refusal, never an error', async () => {
    const files = [inJpeg({}, [oddJpeg.subarray(0, 1000), oddJpeg.subarray(1000)]), bare[0][1], bare[2][1]];
    const wound = fc.record({
      file: fc.integer({ min: 0, max: 2 }),
      cuts: fc.array(fc.record({ at: fc.integer({ min: 130, max: 900 }), value: fc.integer({ min: 0, max: 255 }) }), {
        minLength: 1,
        maxLength: 8,
      }),
      keep: fc.oneof({ weight: 3, arbitrary: fc.constant(1) }, { weight: 1, arbitrary: fc.double({ min: 0, max: 1, noNaN: true }) }),
    });
    await fc.assert(
      fc.asyncProperty(wound, async ({ file, cuts, keep }) => {
        const bytes = files[file].slice(0, Math.max(140, Math.floor(files[file].length * keep)));
        for (const { at, value } of cuts) if (at < bytes.length) bytes[at] = value;
        const started = performance.now();
        const photo = await openPhoto(bytes, 'a.dcm');
        if (photo.ok) await photo.value.glance(80);
        else {
          expect(PHOTO_FAULTS).toContain(photo.why);
          expect(photo.detail).toMatch(/^a\.dcm .*\.$/);
        }
        expect(performance.now() - started).toBeLessThan(5000);
      }),
      { numRuns: 250, seed: 20261125 },
    );
  });

  it('does not follow sequences down without end, nor walk in circles', () => {
    const deep = Buffer.concat(
      Array.from({ length: 40_000 }, () =>
        Buffer.from([8, 0, 0x18, 0x22, 0x53, 0x51, 0, 0, 255, 255, 255, 255, 0xfe, 0xff, 0, 0xe0, 255, 255, 255, 255]),
      ),
    );
    const started = performance.now();
    expect(photographInDicom(dicomBytes('explicit', [], deep), 'a.dcm')).toMatchObject({ ok: false, why: 'unreadable' });
    const backwards: Element[] = [
      [0x0028, 0x0010, 'US', 5],
      [0x0008, 0x0016, 'UI', 'x'],
    ];
    expect(photographInDicom(dicomBytes('explicit', backwards), 'a.dcm')).toMatchObject({ ok: false, why: 'unreadable' });
    expect(performance.now() - started).toBeLessThan(1000);
  });
});

const folder = mkdtempSync(join(tmpdir(), 'ebbline-dicom-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const inFolder = (name: string): string => join(folder, name);
const hasDcmtk = hasProgram('img2dcm') && hasProgram('dcmconv');

describe('oracle: files that dcmtk writes', () => {
  it.skipIf(!hasDcmtk)('VL Photographic and Secondary Capture by img2dcm, and its transcodings (skipped without dcmtk)', async () => {
    writeFileSync(inFolder('in.jpg'), jpeg);
    const expected = await seen(jpeg, 'a.jpg');
    for (const [name, ...options] of [['vl.dcm', '-vlp', '-k', 'AcquisitionDate=20260901', '-k', 'ImageLaterality=R'], ['sc.dcm']]) {
      expect(runProgram('img2dcm', [...options, inFolder('in.jpg'), inFolder(name)]).status).toBe(0);
      const file = new Uint8Array(readFileSync(inFolder(name)));
      const inside = photographInDicom(file, name);
      if (!inside.ok) throw new Error(inside.detail);
      if (name === 'vl.dcm') expect(inside.value).toMatchObject({ takenAt: '2026-09-01T00:00:00', laterality: 'right' });
      expect((await seen(file)).data).toEqual(expected.data);
    }
    // Decoded by dcmtk: to within the rounding of another decoder of the same stream.
    runProgram('dcmdjpeg', ['+cl', inFolder('vl.dcm'), inFolder('plain.dcm')]);
    expect(rms((await seen(new Uint8Array(readFileSync(inFolder('plain.dcm'))))).data, expected.data)).toBeLessThan(2.5);
    runProgram('dcmconv', ['+ti', inFolder('plain.dcm'), inFolder('implicit.dcm')]);
    expect((await seen(new Uint8Array(readFileSync(inFolder('implicit.dcm'))))).data).toEqual(
      (await seen(new Uint8Array(readFileSync(inFolder('plain.dcm'))))).data,
    );
    for (const [program, option, to, word] of [
      ['dcmconv', '+tb', 'big.dcm', 'big-endian'],
      ['dcmconv', '+td', 'deflated.dcm', 'deflated'],
      ['dcmcrle', '+fo', 'rle.dcm', 'RLE Lossless'],
      ['dcmcjpeg', '+e1', 'lossless.dcm', 'JPEG Lossless'],
    ]) {
      runProgram(program, [option, inFolder('plain.dcm'), inFolder(to)]);
      expect(await refusalOf(new Uint8Array(readFileSync(inFolder(to))))).toMatchObject({
        why: 'unsupported',
        detail: expect.stringContaining(word),
      });
    }
  });
});

describe('oracle: pydicom', () => {
  it.skipIf(!hasPython('pydicom'))('reads the same pixels and facts from files of bare pixels (skipped without python3-pydicom)', () => {
    writeFileSync(inFolder('bare.dcm'), dicomBytes('explicit', withPixels(pictureElements(GRADIENT), codes)));
    const said = pythonJson(
      'import pydicom,sys,json,hashlib\nd=pydicom.dcmread(sys.argv[1])\nprint(json.dumps([d.Rows,d.Columns,d.ImageLaterality,d.AcquisitionDate,hashlib.sha256(d.PixelData).hexdigest()]))',
      [inFolder('bare.dcm')],
    );
    const sha256 = createHash('sha256').update(codes).digest('hex');
    expect(said).toEqual([GRADIENT.height, GRADIENT.width, 'L', '20260901', sha256]);
  });
});

describe('refusal', () => {
  it('unsupported: several frames', async () => {
    const refusal = await refusalOf(inJpeg({ frames: '12' }));
    expect(refusal).toMatchObject({ why: 'unsupported', detail: expect.stringContaining('12 frames') });
  });

  it('unsupported: a compression that is not read is named, with its number', async () => {
    const refusal = await refusalOf(dicomBytes('jpeg2000', pictureElements(GRADIENT), encapsulated([oddJpeg])));
    expect(refusal).toMatchObject({
      why: 'unsupported',
      detail: expect.stringContaining(`JPEG 2000 Lossless (transfer syntax ${SYNTAXES.jpeg2000})`),
    });
    expect(await refusalOf(dicomBytes('bigEndian', []))).toMatchObject({
      why: 'unsupported',
      detail: expect.stringContaining('big-endian'),
    });
  });

  it('unsupported: what is no photograph is called by its name', async () => {
    const ct = pictureElements(GRADIENT, { sopClass: '1.2.840.10008.5.1.4.1.1.2' }).map(
      (one): Element => (one[1] === 0x0060 ? [8, 0x60, 'CS', 'CT'] : one),
    );
    expect(await refusalOf(dicomBytes('explicit', withPixels(ct, codes)))).toMatchObject({
      why: 'unsupported',
      detail: expect.stringContaining('computed tomography'),
    });
    const report: Element[] = [
      [8, 0x16, 'UI', '1.2.840.10008.5.1.4.1.1.88.33'],
      [8, 0x60, 'CS', 'SR'],
    ];
    expect(await refusalOf(dicomBytes('explicit', report))).toMatchObject({
      why: 'not-an-image',
      detail: expect.stringContaining('a report'),
    });
  });

  it('unsupported: palettes, and samples of 12 bits', async () => {
    const palette = pictureElements(GRADIENT, { photometric: 'PALETTE COLOR', samples: 1 });
    expect(await refusalOf(dicomBytes('explicit', withPixels(palette, grey)))).toMatchObject({
      why: 'unsupported',
      detail: expect.stringContaining('PALETTE COLOR'),
    });
    const twelve = pictureElements(GRADIENT, { photometric: 'MONOCHROME2', samples: 1, bits: 16 }).map(
      (one): Element => (one[1] === 0x0101 ? [0x28, 0x101, 'US', 12] : one),
    );
    expect(await refusalOf(dicomBytes('explicit', withPixels(twelve, wide)))).toMatchObject({
      why: 'unsupported',
      detail: expect.stringContaining('12 of 16 bits'),
    });
  });

  it('truncated: cut anywhere behind its head', async () => {
    for (const file of [inJpeg(), dicomBytes('explicit', withPixels(pictureElements(GRADIENT), codes))])
      for (const share of [0.3, 0.5, 0.8, 0.99])
        expect(await refusalOf(file.slice(0, Math.floor(file.length * share)))).toMatchObject({ why: 'truncated' });
    const short = dicomBytes('explicit', withPixels(pictureElements(GRADIENT), codes.subarray(0, 3000)));
    expect(await refusalOf(short)).toMatchObject({ why: 'truncated' });
  });

  it('unreadable: nothing but the four letters', async () => {
    const bytes = new Uint8Array(Buffer.concat([Buffer.alloc(128), Buffer.from('DICM'), Buffer.alloc(20)]));
    expect(await refusalOf(bytes)).toMatchObject({ why: 'unreadable', detail: expect.stringContaining('DICOM') });
  });
});
