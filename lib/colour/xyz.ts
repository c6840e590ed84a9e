/**
 * CIE XYZ of linear sRGB, white D65, Y of white = 1.
 *
 * Model   the matrix is derived from the primaries' and the white's chromaticities, so that white is exactly white.
 * Source  chromaticities of IEC 61966-2-1:1999 (those of ITU-R BT.709-6); derivation as in SMPTE RP 177-1993.
 */

/** Three numbers: X, Y, Z or R, G, B. */
export type Triple = readonly [number, number, number];

const xyzOfChromaticity = (x: number, y: number): Triple => [x / y, 1, (1 - x - y) / y];

/** D65 as IEC 61966-2-1 gives it, x 0.3127, y 0.3290. */
export const WHITE_D65: Triple = xyzOfChromaticity(0.3127, 0.329);

/** Row-major 3x3: linear sRGB to XYZ. Its middle row weighs luminance. */
export const XYZ_FROM_LINEAR_SRGB: Float64Array = matrixOfPrimaries(
  [xyzOfChromaticity(0.64, 0.33), xyzOfChromaticity(0.3, 0.6), xyzOfChromaticity(0.15, 0.06)],
  WHITE_D65,
);

/** Row-major 3x3: XYZ to linear sRGB. */
export const LINEAR_SRGB_FROM_XYZ: Float64Array = inverse3(XYZ_FROM_LINEAR_SRGB);

export const xyzD65FromLinearSrgb = (r: number, g: number, b: number): Triple => apply3(XYZ_FROM_LINEAR_SRGB, r, g, b);

/** May leave 0..1 for colours outside sRGB; nothing is clamped. */
export const linearSrgbFromXyzD65 = (x: number, y: number, z: number): Triple => apply3(LINEAR_SRGB_FROM_XYZ, x, y, z);

/** Scales each primary so that the three together make the white. */
function matrixOfPrimaries(primaries: readonly [Triple, Triple, Triple], white: Triple): Float64Array {
  const columns = Float64Array.from({ length: 9 }, (_, i) => primaries[i % 3]?.[(i / 3) | 0]);
  const amounts = apply3(inverse3(columns), ...white);
  return columns.map((value, i) => value * amounts[i % 3]);
}

function apply3(m: ArrayLike<number>, x: number, y: number, z: number): Triple {
  const row = (r: number) => m[r] * x + m[r + 1] * y + m[r + 2] * z;
  return [row(0), row(3), row(6)];
}

function inverse3(m: ArrayLike<number>): Float64Array {
  const [a, b, c, d, e, f, g, h, i] = Array.from(m) as [number, number, number, number, number, number, number, number, number];
  const cofactors = [
    e * i - f * h,
    c * h - b * i,
    b * f - c * e,
    f * g - d * i,
    a * i - c * g,
    c * d - a * f,
    d * h - e * g,
    b * g - a * h,
    a * e - b * d,
  ];
  const determinant = a * cofactors[0] + b * cofactors[3] + c * cofactors[6];
  return Float64Array.from(cofactors, (value) => value / determinant);
}
