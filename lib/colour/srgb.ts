/**
 * The sRGB transfer curve: codes to linear light and back.
 *
 * Model   c <= 0.04045: c / 12.92, else ((c + 0.055) / 1.055) ^ 2.4; back with the knee at 0.0031308.
 * Source  IEC 61966-2-1:1999. Its two printed knees differ by 4e-8 in linear light, far beneath one code.
 */

/** Coded 0..1 to linear 0..1. Values outside the range follow the same curve, odd about zero, so that filters may overshoot. */
export function srgbToLinear(coded: number): number {
  const c = Math.abs(coded);
  const linear = c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  return coded < 0 ? -linear : linear;
}

/** Linear 0..1 to coded 0..1; odd about zero. */
export function linearToSrgb(linear: number): number {
  const v = Math.abs(linear);
  const coded = v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055;
  return linear < 0 ? -coded : coded;
}

/** Linear light of each 8-bit code. Read-only. */
export const linearFromSrgb8: Float32Array = Float32Array.from({ length: 256 }, (_, code) => srgbToLinear(code / 255));

/** The least linear value that rounds to each code: code k begins where the coded value reaches (k - 0.5) / 255. */
const beginsAt = Float64Array.from({ length: 257 }, (_, code) =>
  code === 0 ? -Infinity : code === 256 ? Infinity : srgbToLinear((code - 0.5) / 255),
);

/** A first guess of the code: the code of each cell's left edge. With 4096 cells the guess is at most one code low. */
const CELLS = 4096;
const codeOfCell = Uint8Array.from({ length: CELLS + 1 }, (_, cell) => Math.round(linearToSrgb(cell / CELLS) * 255));

/** Linear light to the nearest 8-bit code, clamped; exact, without a power. NaN becomes 0. */
export function srgb8FromLinear(linear: number): number {
  if (!(linear > 0)) return 0;
  if (linear >= 1) return 255;
  let code = codeOfCell[(linear * CELLS) | 0];
  while (linear >= beginsAt[code + 1]) code++;
  return code;
}

/** Any number of codes to linear light. */
export function linearRasterFromSrgb8(coded: Uint8Array | Uint8ClampedArray): Float32Array {
  const linear = new Float32Array(coded.length);
  for (let i = 0; i < coded.length; i++) linear[i] = linearFromSrgb8[coded[i]];
  return linear;
}

/** Any number of linear values to the nearest codes. */
export function srgb8RasterFromLinear(linear: Float32Array | Float64Array): Uint8Array {
  const coded = new Uint8Array(linear.length);
  for (let i = 0; i < linear.length; i++) coded[i] = srgb8FromLinear(linear[i]);
  return coded;
}
