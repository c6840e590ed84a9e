import { describe, expect, it } from 'vitest';
import { luminanceFromLinearSrgb, luminanceRasterFromLinearSrgb } from '#lib/colour/luminance.ts';
import { LINEAR_SRGB_FROM_XYZ, linearSrgbFromXyzD65, WHITE_D65, XYZ_FROM_LINEAR_SRGB, xyzD65FromLinearSrgb } from '#lib/colour/xyz.ts';

describe('oracle: matrices from the chromaticities of IEC 61966-2-1', () => {
  // W3C, CSS Color Module Level 4, section 18, "Sample code for color conversions": lin_sRGB_to_XYZ as exact fractions.
  const W3C = [
    506752 / 1228815,
    87881 / 245763,
    12673 / 70218,
    87098 / 409605,
    175762 / 245763,
    12673 / 175545,
    7918 / 409605,
    87881 / 737289,
    1001167 / 1053270,
  ];
  it('gives the fractions that W3C derived', () => {
    W3C.forEach((value, i) => expect(XYZ_FROM_LINEAR_SRGB[i]).toBeCloseTo(value, 14));
  });

  it('has the white .950456, 1, 1.089058', () => {
    expect(WHITE_D65.map((v) => Number(v.toFixed(6)))).toEqual([0.950456, 1, 1.089058]);
  });
});

describe('law', () => {
  it('sends white to white, and luminance of white is 1', () => {
    xyzD65FromLinearSrgb(1, 1, 1).forEach((value, i) => expect(value).toBeCloseTo(WHITE_D65[i], 14));
    expect(luminanceFromLinearSrgb(1, 1, 1)).toBeCloseTo(1, 14);
  });

  it('has matrices that undo each other', () => {
    const back = linearSrgbFromXyzD65(...xyzD65FromLinearSrgb(0.2, -0.1, 1.3));
    [0.2, -0.1, 1.3].forEach((value, i) => expect(back[i]).toBeCloseTo(value, 13));
    expect(LINEAR_SRGB_FROM_XYZ).toHaveLength(9);
  });

  it('reads the luminance of a raster as of single colours, and of colours as their Y', () => {
    const rgb = Float32Array.of(1, 0, 0, 0, 1, 0, 0, 0, 1, 0.25, 0.5, 0.75);
    const seen = luminanceRasterFromLinearSrgb(rgb);
    expect(seen).toHaveLength(4);
    [0, 3, 6, 9].forEach((p, i) => {
      expect(seen[i]).toBeCloseTo(xyzD65FromLinearSrgb(rgb[p], rgb[p + 1], rgb[p + 2])[1], 6);
      expect(luminanceFromLinearSrgb(rgb[p], rgb[p + 1], rgb[p + 2])).toBeCloseTo(seen[i], 6);
    });
    expect(() => luminanceRasterFromLinearSrgb(new Float32Array(4))).toThrow(RangeError);
  });
});
