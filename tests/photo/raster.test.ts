import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  bandPass,
  channelOf,
  gaussianBlur,
  halve,
  luminance,
  type Raster,
  raster,
  resample,
  sampleBilinear,
  sampleCubic,
} from '#lib/photo/raster.ts';

/** Noise that is the same every time. */
function noise(width: number, height: number, channels: number, seed = 1): Raster {
  let state = seed;
  const data = new Float32Array(width * height * channels).map(() => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  });
  return raster(width, height, channels, data);
}

const painted = (width: number, height: number, light: (x: number, y: number) => number): Raster =>
  raster(
    width,
    height,
    1,
    Float32Array.from({ length: width * height }, (_, i) => light((i % width) + 0.5, Math.floor(i / width) + 0.5)),
  );

const largest = (values: ArrayLike<number>): number => Array.from(values).reduce((most, value) => Math.max(most, Math.abs(value)), 0);

/** The definition, straight: every neighbour within 8 sigma, edges reflected. */
function plainBlur({ width, height, channels, data }: Raster, sigma: number): Float64Array {
  const reach = Math.ceil(8 * sigma);
  const weights = Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-((i - reach) ** 2) / (2 * sigma * sigma)));
  const sum = weights.reduce((a, b) => a + b);
  const reflect = (i: number, n: number) => {
    const k = ((i % (2 * n)) + 2 * n) % (2 * n);
    return k < n ? k : 2 * n - 1 - k;
  };
  const pass = (from: ArrayLike<number>, at: (x: number, y: number, k: number) => [number, number]) =>
    Float64Array.from({ length: data.length }, (_, i) => {
      const pixel = Math.floor(i / channels);
      const total = weights.reduce((acc, w, k) => {
        const [x, y] = at(pixel % width, Math.floor(pixel / width), k - reach);
        return acc + w * from[(reflect(y, height) * width + reflect(x, width)) * channels + (i % channels)];
      }, 0);
      return total / sum;
    });
  return pass(
    pass(data, (x, y, k) => [x + k, y]),
    (x, y, k) => [x, y + k],
  );
}

describe('law: sampling', () => {
  const image = noise(13, 9, 2);

  it('gives the pixel itself at its centre', () => {
    for (const sample of [sampleBilinear, sampleCubic])
      for (let y = 0; y < 9; y++)
        for (let x = 0; x < 13; x++) expect(sample(image, x + 0.5, y + 0.5, 1)).toBeCloseTo(image.data[2 * (13 * y + x) + 1], 6);
  });

  it('follows a plane exactly away from the edge, and a parabola by the cubic', () => {
    const plane = painted(20, 15, (x, y) => 3 + 0.2 * x - 0.7 * y);
    const bowl = painted(20, 15, (x, y) => 0.1 * x * x - 0.05 * y * y + x * y);
    fc.assert(
      fc.property(fc.double({ min: 2.5, max: 17, noNaN: true }), fc.double({ min: 2.5, max: 12, noNaN: true }), (x, y) => {
        expect(sampleBilinear(plane, x, y)).toBeCloseTo(3 + 0.2 * x - 0.7 * y, 4);
        expect(sampleCubic(plane, x, y)).toBeCloseTo(3 + 0.2 * x - 0.7 * y, 4);
        expect(sampleCubic(bowl, x, y)).toBeCloseTo(0.1 * x * x - 0.05 * y * y + x * y, 3);
      }),
    );
  });

  it('the edge goes on outside', () => {
    for (const sample of [sampleBilinear, sampleCubic]) {
      expect(sample(image, -5, -5, 0)).toBeCloseTo(image.data[0], 6);
      expect(sample(image, 50, 50, 1)).toBeCloseTo(image.data.at(-1)!, 6);
    }
  });

  it('resampling by whole pixels copies, channel by channel, and marks what lies outside', () => {
    const xs = Float32Array.from({ length: 13 * 9 }, (_, i) => (i % 13) + 2.5);
    const ys = Float32Array.from({ length: 13 * 9 }, (_, i) => Math.floor(i / 13) + 0.5);
    const moved = resample(image, xs, ys, 13, 9);
    expect(moved.data[0]).toBeCloseTo(image.data[4], 6);
    expect(moved.data[1]).toBeCloseTo(image.data[5], 6);
    expect(moved.data[2 * 12]).toBeNaN();
    expect(resample(image, xs, ys, 13, 9, 'bilinear', 'edge').data[2 * 12]).toBeCloseTo(image.data[2 * 12], 6);
    expect(resample(image, [Number.NaN], [1], 1, 1, 'cubic', 'edge').data[0]).toBeNaN();
    expect(() => resample(image, xs, [1], 13, 9)).toThrow(RangeError);
  });
});

describe('law: blur', () => {
  it.each([0.6, 1, 2.9, 3, 5, 12, 40])('a blur of %f px is the sum it stands for, edges reflected, to 1e-4', (sigma) => {
    for (const image of [noise(37, 23, 1), noise(8, 41, 3), noise(1, 5, 1), noise(2, 1, 2)]) {
      const blurred = gaussianBlur(image, sigma);
      const expected = plainBlur(image, sigma);
      expect(largest(expected.map((value, i) => value - blurred.data[i]))).toBeLessThan(1e-4);
    }
  });

  it('keeps a constant, the mean, and its input', () => {
    const image = noise(64, 48, 1);
    const before = image.data.slice();
    for (const sigma of [0, 1.5, 6, 30]) {
      expect(
        largest(
          gaussianBlur(
            painted(30, 20, () => 0.7),
            sigma,
          ).data.map((v) => v - 0.7),
        ),
      ).toBeLessThan(1e-6);
      const mean = (r: Raster) => r.data.reduce((a, b) => a + b) / r.data.length;
      expect(mean(gaussianBlur(image, sigma))).toBeCloseTo(mean(image), 4);
    }
    expect(image.data).toEqual(before);
  });

  it('turning the picture turns the blur', () => {
    const image = noise(31, 31, 1);
    const turned = (r: Raster) => painted(31, 31, (x, y) => r.data[Math.floor(x) * 31 + Math.floor(y)]);
    for (const sigma of [1.2, 7]) {
      const a = turned(gaussianBlur(image, sigma)).data;
      const b = gaussianBlur(turned(image), sigma).data;
      expect(largest(a.map((v, i) => v - b[i]))).toBeLessThan(1e-4);
    }
  });

  it('a band answers to a wave as two Gaussians say: exp(-2 (pi sigma f)^2) each', () => {
    const period = 12;
    const wave = painted(240, 20, (x) => Math.sin((2 * Math.PI * x) / period));
    const gain = (sigma: number) => Math.exp((-2 * (Math.PI * sigma) ** 2) / period ** 2);
    const band = bandPass(wave, 1, 4);
    const middle = Array.from({ length: 120 }, (_, i) => band.data[10 * 240 + 60 + i] / wave.data[10 * 240 + 60 + i]).filter(
      Number.isFinite,
    );
    const expected = gain(1) - gain(4);
    for (const ratio of middle) expect(ratio).toBeCloseTo(expected, 3);
    expect(() => bandPass(wave, 4, 4)).toThrow(RangeError);
  });
});

describe('law: size and light', () => {
  it('halving keeps every place at half its coordinate, odd sides included', () => {
    const plane = painted(21, 14, (x, y) => 2 * x - y);
    const half = halve(plane);
    expect([half.width, half.height]).toEqual([10, 7]);
    half.data.forEach((value, i) => expect(value).toBeCloseTo(2 * (2 * ((i % 10) + 0.5)) - 2 * (Math.floor(i / 10) + 0.5), 4));
    expect(halve(painted(1, 6, (_, y) => y)).data).toEqual(Float32Array.of(1, 3, 5));
    expect(halve(noise(2, 2, 3)).channels).toBe(3);
  });

  it('luminance of white is 1, and of the channels 0.2126, 0.7152, 0.0722', () => {
    const rgb = raster(4, 1, 3, Float32Array.of(1, 1, 1, 1, 0, 0, 0, 1, 0, 0, 0, 1));
    const expected = [1, 0.2126, 0.7152, 0.0722];
    luminance(rgb).data.forEach((value, i) => expect(value).toBeCloseTo(expected[i], 4));
    expect(channelOf(rgb, 2).data).toEqual(Float32Array.of(1, 0, 0, 1));
  });
});

describe('refusal', () => {
  it('sizes that do not fit are the caller’s mistakes', () => {
    expect(() => raster(3, 3, 1, new Float32Array(8))).toThrow(RangeError);
    expect(() => raster(0, 3, 1)).toThrow(RangeError);
    expect(() => channelOf(noise(2, 2, 1), 1)).toThrow(RangeError);
    expect(() => gaussianBlur(noise(2, 2, 1), -1)).toThrow(RangeError);
    expect(() => gaussianBlur(noise(2, 2, 1), Number.NaN)).toThrow(RangeError);
  });
});
