import { describe, expect, it } from 'vitest';
import { canonicalMesh } from '#lib/face/canonical-mesh.ts';
import { qualityOf } from '#lib/face/quality.ts';
import { FEATURE, OUTSIDE, SKIN, skinMask } from '#lib/face/skin-mask.ts';
import { gaussianBlur } from '#lib/photo/raster.ts';
import { randomFrom } from '#lib/stats/random.ts';

const SIZE = 420;
/** The canonical face seen from the front, 2 px per mm; irises in place. */
const landmarks = ((): Float64Array => {
  const v = canonicalMesh().vertices;
  const out = new Float64Array(478 * 3);
  for (let i = 0; i < 468; i++) out.set([SIZE / 2 + 2 * v[3 * i], SIZE / 2 - 2 * v[3 * i + 1]], 3 * i);
  for (let k = 0; k < 10; k++)
    for (let c = 0; c < 2; c++) out[3 * (468 + k) + c] = (out[3 * (k < 5 ? 33 : 263) + c] + out[3 * (k < 5 ? 133 : 362) + c]) / 2;
  return out;
})();

const picture = (paint: (x: number, y: number) => readonly [number, number, number]) => {
  const data = new Float32Array(3 * SIZE * SIZE);
  for (let y = 0; y < SIZE; y++) for (let x = 0; x < SIZE; x++) data.set(paint(x, y), 3 * (y * SIZE + x));
  return { width: SIZE, height: SIZE, data };
};
const blurred = (photo: ReturnType<typeof picture>, sigma: number) => ({
  ...photo,
  data: gaussianBlur({ ...photo, channels: 3 }, sigma).data,
});
const SKIN_COLOUR = [0.4, 0.25, 0.18] as const;
/** Slanted, so that edges fall at every place between px. */
const stripes = picture((x, y) => (Math.floor((x + 0.13 * y) / 20) % 2 === 0 ? [0.5, 0.4, 0.3] : [0.1, 0.08, 0.06]));

describe('law', () => {
  it('the mask has the eyes, brows and lips inside the skin, and the corners of the picture outside', () => {
    const mask = skinMask(landmarks, SIZE, SIZE);
    const at = (x: number, y: number) => mask.data[(Math.floor(y) - mask.top) * mask.width + Math.floor(x) - mask.left];
    expect(at(landmarks[3 * 468], landmarks[3 * 468 + 1])).toBe(FEATURE);
    expect(at(landmarks[3 * 13], landmarks[3 * 13 + 1])).toBe(FEATURE);
    expect(at(landmarks[3 * 50], landmarks[3 * 50 + 1])).toBe(SKIN); // cheek
    expect(at(landmarks[3 * 151], landmarks[3 * 151 + 1])).toBe(SKIN); // forehead
    expect(mask.data[0]).toBe(OUTSIDE);
    const skin = mask.data.filter((v) => v === SKIN).length;
    expect(skin / mask.data.length).toBeGreaterThan(0.4);
    expect(skin / mask.data.length).toBeLessThan(0.8);
  });

  it.each([1, 1.5, 2.5])('edges blurred by %f px are told as such', (sigma) => {
    const { sharpness } = qualityOf(blurred(stripes, sigma), landmarks);
    expect(0.5 / sharpness / sigma).toBeGreaterThan(0.85);
    expect(0.5 / sharpness / sigma).toBeLessThan(1.15);
  });

  it('planted noise is measured, shading and pores do not count as noise', () => {
    const random = randomFrom(4);
    const noisy = picture((x) => {
      const shade = 1 + 0.3 * Math.sin(x / 60);
      return [0, 1, 2].map((c) => SKIN_COLOUR[c] * shade + 0.01 * random.normal()) as [number, number, number];
    });
    // luminance weighs the three independent noises
    const expected = (0.01 * Math.hypot(0.2126, 0.7152, 0.0722)) / (0.2126 * 0.4 + 0.7152 * 0.25 + 0.0722 * 0.18);
    const { noise } = qualityOf(noisy, landmarks);
    expect(noise / expected).toBeGreaterThan(0.8);
    expect(noise / expected).toBeLessThan(1.1);
    const clean = picture((x, y) => {
      const pore = Math.hypot((x % 24) - 12, (y % 24) - 12) < 2 ? 0.8 : 1;
      return SKIN_COLOUR.map((v) => v * pore) as unknown as [number, number, number];
    });
    expect(qualityOf(clean, landmarks).noise).toBeLessThan(0.002);
  });

  it('shares of burnt-out and black skin are counted on skin alone', () => {
    const half = qualityOf(
      picture((x) => (x < SIZE / 2 ? [1, 0.9, 0.8] : [0.3, 0.2, 0.1])),
      landmarks,
    );
    expect(half.clippedHigh).toBeCloseTo(0.5, 1);
    expect(half.clippedLow).toBe(0);
    const dark = qualityOf(
      picture((x) => (x < SIZE / 2 ? [0, 0, 0] : [0.3, 0.2, 0.1])),
      landmarks,
    );
    expect(dark.clippedLow).toBeCloseTo(0.5, 1);
    const around = qualityOf(
      picture((x, y) => (Math.hypot(x - SIZE / 2, y - SIZE / 2) > 200 ? [1, 1, 1] : [0.3, 0.2, 0.1])),
      landmarks,
    );
    expect(around.clippedHigh).toBe(0);
  });

  it('grey is grey, and a tint is not', () => {
    expect(
      qualityOf(
        picture((x, y) => [0.2 + x / 2000, 0.2 + x / 2000, 0.2 + x / 2000 + 0 * y]),
        landmarks,
      ).greyscale,
    ).toBe(true);
    expect(
      qualityOf(
        picture(() => SKIN_COLOUR),
        landmarks,
      ).greyscale,
    ).toBe(false);
  });

  it('the pupil distance is that of the iris centres', () => {
    expect(qualityOf(stripes, landmarks).interpupillaryPx).toBeCloseTo(landmarks[3 * 473] - landmarks[3 * 468], 9);
  });
});
