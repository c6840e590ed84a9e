/**
 * CIELAB with the white D65, from and to linear sRGB.
 *
 * Model   f(t) = cube root of t above (6/29)^3, a straight line beneath; L* = 116 f(Y) - 16,
 *         a* = 500 (f(X) - f(Y)), b* = 200 (f(Y) - f(Z)), X, Y, Z over those of white.
 * Source  CIE 15:2018, section 8.2.1; ISO/CIE 11664-4:2019.
 */
import { LINEAR_SRGB_FROM_XYZ, type Triple, WHITE_D65, XYZ_FROM_LINEAR_SRGB } from './xyz.ts';

const KNEE = (6 / 29) ** 3;
const SLOPE = (29 / 6) ** 2 / 3;
const OFFSET = 4 / 29;

/** The matrix with each row over the white: gives X/Xn, Y/Yn, Z/Zn at once. */
const RELATIVE = XYZ_FROM_LINEAR_SRGB.map((value, i) => value / WHITE_D65[(i / 3) | 0]);
const [XR, XG, XB, YR, YG, YB, ZR, ZG, ZB] = RELATIVE as unknown as readonly number[] as readonly [
  number,
  number,
  number,
  number,
  number,
  number,
  number,
  number,
  number,
];

const f = (t: number): number => (t > KNEE ? Math.cbrt(t) : SLOPE * t + OFFSET);
const fInverse = (v: number): number => (v > 6 / 29 ? v * v * v : (v - OFFSET) / SLOPE);

/** One colour: X, Y, Z each already over that of its white, to [L*, a*, b*] with that white. */
export function labOfXyzOverWhite(x: number, y: number, z: number): Triple {
  const fy = f(y);
  return [116 * fy - 16, 500 * (f(x) - fy), 200 * (fy - f(z))];
}

/** One colour: linear sRGB to [L*, a*, b*]. */
export const labD65OfLinearSrgb = (r: number, g: number, b: number): Triple =>
  labOfXyzOverWhite(XR * r + XG * g + XB * b, YR * r + YG * g + YB * b, ZR * r + ZG * g + ZB * b);

/** One colour: [L*, a*, b*] to linear sRGB; may leave 0..1 for colours outside sRGB, nothing is clamped. */
export function linearSrgbOfLabD65(lightness: number, a: number, b: number): Triple {
  const fy = (lightness + 16) / 116;
  const x = fInverse(fy + a / 500) * WHITE_D65[0];
  const y = fInverse(fy) * WHITE_D65[1];
  const z = fInverse(fy - b / 200) * WHITE_D65[2];
  const m = LINEAR_SRGB_FROM_XYZ;
  const row = (k: number) => m[k] * x + m[k + 1] * y + m[k + 2] * z;
  return [row(0), row(3), row(6)];
}

/** A raster: (n, 3) linear sRGB to (n, 3) L*, a*, b*, interleaved. */
export function labD65FromLinearSrgb(rgb: Float32Array): Float32Array {
  if (rgb.length % 3 !== 0) throw new RangeError(`rgb must hold whole triples, got length ${rgb.length}`);
  const lab = new Float32Array(rgb.length);
  for (let p = 0; p < rgb.length; p += 3) {
    const r = rgb[p];
    const g = rgb[p + 1];
    const b = rgb[p + 2];
    const fx = f(XR * r + XG * g + XB * b);
    const fy = f(YR * r + YG * g + YB * b);
    const fz = f(ZR * r + ZG * g + ZB * b);
    lab[p] = 116 * fy - 16;
    lab[p + 1] = 500 * (fx - fy);
    lab[p + 2] = 200 * (fy - fz);
  }
  return lab;
}

/** A raster: (n, 3) linear sRGB to (n) L* alone, a third of the work. */
export function lightnessFromLinearSrgb(rgb: Float32Array): Float32Array {
  if (rgb.length % 3 !== 0) throw new RangeError(`rgb must hold whole triples, got length ${rgb.length}`);
  const lightness = new Float32Array(rgb.length / 3);
  for (let i = 0, p = 0; i < lightness.length; i++, p += 3) lightness[i] = 116 * f(YR * rgb[p] + YG * rgb[p + 1] + YB * rgb[p + 2]) - 16;
  return lightness;
}
