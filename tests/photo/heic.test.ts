/**
 * HEIC, on files that an outside encoder made of the gradient in pictures.ts; fixtures/make-heic.ts tells how.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openPhoto } from '#lib/photo/open.ts';
import { developedWhole, GRADIENT, gradientCodes, opened } from '#tests/photo/pictures.ts';

const fixture = (name: string): Uint8Array => new Uint8Array(readFileSync(join(import.meta.dirname, 'fixtures', name)));
const linear = (code: number): number => (code <= 0.04045 ? code / 12.92 : ((code + 0.055) / 1.055) ** 2.4);
const { width, height } = GRADIENT;

/** Root mean square difference from the gradient, in coded steps of 1/255, where `at` says which of its pixels is seen. */
function missOf(data: Float32Array, at: (index: number) => number = (index) => index): number {
  const codes = gradientCodes(65535);
  let sum = 0;
  for (let i = 0; i < width * height; i++)
    for (let c = 0; c < 3; c++) {
      const seen = data[3 * i + c];
      const coded = seen <= 0.0031308 ? 12.92 * seen : 1.055 * seen ** (1 / 2.4) - 0.055;
      sum += (255 * (coded - codes[3 * at(i) + c] / 65535)) ** 2;
    }
  return Math.sqrt(sum / (3 * width * height));
}

describe('oracle: heif-enc (libheif 1.15.1, x265)', () => {
  it('8 bits with a Display P3 profile come back as the colours that went in', async () => {
    const photo = await opened(fixture('gradient-p3.heic'), 'IMG_0001.HEIC');
    expect(photo.facts).toMatchObject({
      format: 'heic',
      bitDepth: 8,
      widthPx: width,
      heightPx: height,
      camera: 'Maker One',
      takenAt: '2026-02-03T10:11:12',
    });
    expect(photo.facts.colourProfile).not.toBeNull();
    expect(missOf((await developedWhole(photo)).data)).toBeLessThan(2.5);
  });

  it('the Exif orientation is not applied: in HEIC only the container turns', async () => {
    const photo = await opened(fixture('gradient-p3.heic'));
    expect([photo.width, photo.height, photo.facts.orientation]).toEqual([width, height, 1]);
  });

  it('a turn in the container is applied once', async () => {
    const photo = await opened(fixture('gradient-turned.heic'));
    expect([photo.width, photo.height]).toEqual([height, width]);
    // three quarter turns counter-clockwise are one clockwise: upright (u, v) shows stored (v, height - 1 - u)
    const at = (index: number) => (height - 1 - (index % height)) * width + Math.floor(index / height);
    expect(missOf((await developedWhole(photo)).data, at)).toBeLessThan(2.5);
  });

  it('10 bits give finer steps than 8', async () => {
    const photo = await opened(fixture('gradient-10bit.heic'));
    expect(photo.facts.bitDepth).toBe(10);
    const { data } = await developedWhole(photo);
    expect(missOf(data)).toBeLessThan(1);
    const steps = new Set(Array.from({ length: width * height }, (_, i) => data[3 * i]));
    expect(steps.size).toBeGreaterThan(256 * 0.75 + 1);
  });

  it('parts and shrunken parts lie where they say', async () => {
    const photo = await opened(fixture('gradient-p3.heic'));
    const part = await photo.develop({ x: 30, y: 20, width: 64, height: 50 }, 0.5);
    if (!part.ok) throw new Error(part.detail);
    const { placement, data } = part.value;
    const [u, v] = [10, 8];
    const [x, y] = [(u + 0.5 + placement.offsetX) / placement.scale, (v + 0.5 + placement.offsetY) / placement.scale];
    const red = 0.2 + (0.5 * (x - 0.5)) / width;
    const green = 0.2 + (0.5 * (y - 0.5)) / height;
    expect(data[3 * (v * part.value.width + u)]).toBeCloseTo(linear(red), 2);
    expect(data[3 * (v * part.value.width + u) + 1]).toBeCloseTo(linear(green), 2);
    const glance = await photo.glance(80);
    expect(glance.ok && [glance.value.width, glance.value.height]).toEqual([80, 56]);
  });
});

/** The 10-bit file with other code points (ISO/IEC 23091-2) for its primaries and its transfer. */
function withCodePoints(primaries: number, transfer: number): Uint8Array {
  const file = Buffer.from(fixture('gradient-10bit.heic'));
  const at = file.indexOf('nclx');
  file.writeUInt16BE(primaries, at + 4);
  file.writeUInt16BE(transfer, at + 6);
  return new Uint8Array(file);
}

describe('law', () => {
  it('Display P3 may be said by code points alone', async () => {
    const photo = await opened(withCodePoints(12, 13));
    expect(photo.facts.colourProfile).toBe('Display P3');
    const { data } = await developedWhole(photo);
    const plain = await developedWhole(await opened(withCodePoints(1, 13)));
    const [r, g, b] = plain.data.subarray(0, 3);
    // SMPTE EG 432-1 red, green and blue in linear sRGB, as css-color-4 prints the matrix
    expect(data[0]).toBeCloseTo(1.2249 * r - 0.2247 * g, 3);
    expect(data[1]).toBeCloseTo(-0.042 * r + 1.0419 * g, 3);
    expect(data[2]).toBeCloseTo(-0.0197 * r - 0.0786 * g + 1.0979 * b, 3);
  });

  it('pixels asked for at the same time, and again, are the same', async () => {
    const photo = await opened(fixture('gradient-p3.heic'));
    const all = { x: 0, y: 0, width, height };
    const [first, second] = await Promise.all([photo.develop(all, 0.5), photo.develop(all, 0.5)]);
    expect(first).toEqual(second);
    expect(await photo.develop(all, 0.5)).toEqual(first);
  });
});

describe('refusal', () => {
  it.each([
    [9, 16],
    [9, 18],
    [1, 16],
  ])('unsupported: high dynamic range (primaries %i, transfer %i)', async (primaries, transfer) => {
    expect(await openPhoto(withCodePoints(primaries, transfer), 'a.heic')).toMatchObject({
      why: 'unsupported',
      detail: expect.stringContaining('HDR off'),
    });
  });

  it('a cut file is refused when it is opened', async () => {
    const whole = fixture('gradient-p3.heic');
    for (const share of [0.02, 0.3, 0.6, 0.98])
      expect(await openPhoto(whole.slice(0, Math.floor(whole.length * share)), 'a.heic')).toMatchObject({ ok: false, why: 'truncated' });
  });
});
