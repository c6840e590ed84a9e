import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  linearFromSrgb8,
  linearRasterFromSrgb8,
  linearToSrgb,
  srgb8FromLinear,
  srgb8RasterFromLinear,
  srgbToLinear,
} from '#lib/colour/srgb.ts';

describe('oracle: IEC 61966-2-1', () => {
  it('is a line of slope 1 / 12.92 up to 0.04045, and the power beyond', () => {
    expect(srgbToLinear(0.04045)).toBe(0.04045 / 12.92);
    expect(srgbToLinear(0.5)).toBe(((0.5 + 0.055) / 1.055) ** 2.4);
    expect(linearToSrgb(0.0031308)).toBe(12.92 * 0.0031308);
    expect(linearToSrgb(0.5)).toBe(1.055 * 0.5 ** (1 / 2.4) - 0.055);
  });

  it('meets itself at the printed knees to within the rounding of the standard', () => {
    expect(Math.abs(srgbToLinear(0.04045 + 1e-12) - srgbToLinear(0.04045))).toBeLessThan(1e-8);
    expect(Math.abs(linearToSrgb(0.0031308 + 1e-12) - linearToSrgb(0.0031308))).toBeLessThan(1e-7);
  });
});

describe('oracle: gold values of colorspacious', () => {
  it.each([
    [0.1, 0.010022825574869],
    [0.2, 0.0331047665708851],
    [0.3, 0.0732389558784054],
  ])('decodes %f', (coded, linear) => expect(srgbToLinear(coded)).toBeCloseTo(linear, 13));
});

describe('law', () => {
  it('comes back to the same code, all 256 of them', () => {
    const codes = Uint8Array.from({ length: 256 }, (_, i) => i);
    expect(srgb8RasterFromLinear(linearRasterFromSrgb8(codes))).toEqual(codes);
  });

  it('finds the nearest code without a power, exactly as the power does', () => {
    const wrong: number[] = [];
    for (let i = 0; i <= 200_000; i++) {
      const linear = (i / 200_000) ** 2;
      if (srgb8FromLinear(linear) !== Math.round(linearToSrgb(linear) * 255)) wrong.push(linear);
    }
    expect(wrong).toEqual([]);
  });

  it('decodes and encodes to the same value, also below zero and above one', () => {
    fc.assert(
      fc.property(fc.double({ min: -2, max: 2, noNaN: true }), (coded) => {
        // The two printed knees differ by 4e-8 in linear light, 5e-7 in code.
        expect(Math.abs(linearToSrgb(srgbToLinear(coded)) - coded)).toBeLessThan(1e-6);
      }),
      { seed: 1 },
    );
  });

  it('clamps, and takes what is no number as black', () => {
    expect([-1, 0, 1, 7, Infinity, -Infinity, NaN].map(srgb8FromLinear)).toEqual([0, 0, 255, 255, 255, 0, 0]);
  });

  it('rises with every code', () => {
    const falls = [...linearFromSrgb8.keys()].filter((i) => i > 0 && linearFromSrgb8[i] <= linearFromSrgb8[i - 1]);
    expect(falls).toEqual([]);
  });
});
