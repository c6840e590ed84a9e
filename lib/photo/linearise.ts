/**
 * Pixels as they lie in the file become an upright raster of linear light, or of sRGB codes: one pass, one table per channel.
 */
import { srgbToLinear } from '#lib/colour/srgb.ts';
import type { Curve } from './icc-profile.ts';
import { type Turn, turnedSize, uprightWalk } from './orientation.ts';
import type { Raster } from './raster.ts';
import type { SourceColour } from './source-colour.ts';
import { srgb8FromLinear } from './srgb8.ts';
import type { Srgb8Raster } from './types.ts';

/** Pixels in the file's own order and coding; 8 or 16 bits per value, one channel (grey) or three. */
export type StoredPixels = Readonly<{
  width: number;
  height: number;
  channels: 1 | 3;
  /** length channels * width * height */
  data: Uint8Array | Uint16Array;
}>;

/** Linear light with sRGB primaries, upright, three channels. Grey is repeated. Colours outside sRGB leave 0..1. */
export function linearUpright(stored: StoredPixels, colour: SourceColour, turn: Turn): Raster {
  const { width, height } = turnedSize(stored, turn);
  const { start, alongU, alongV } = uprightWalk(stored, turn);
  const { data, channels } = stored;
  const codes = data instanceof Uint8Array ? 256 : 65536;
  const [red, green = red, blue = red] = colour.curves.map((curve) => table(curve, codes)) as [Float32Array, Float32Array?, Float32Array?];
  const out = new Float32Array(3 * width * height);
  const spread = channels === 1 ? 0 : 1;
  const step = alongU * channels;
  for (let v = 0, o = 0; v < height; v++) {
    let i = (start + v * alongV) * channels;
    for (let u = 0; u < width; u++, i += step, o += 3) {
      out[o] = red[data[i]];
      out[o + 1] = green[data[i + spread]];
      out[o + 2] = blue[data[i + 2 * spread]];
    }
  }
  if (colour.toLinearSrgb && channels === 3) mix(out, colour.toLinearSrgb);
  return { width, height, channels: 3, data: out };
}

/** sRGB codes, upright. Codes that are sRGB already only move; the rest go through linear light, clamped to sRGB. */
export function srgb8Upright(stored: StoredPixels, colour: SourceColour, turn: Turn): Srgb8Raster {
  const { data, channels } = stored;
  const isSrgb = data instanceof Uint8Array && !colour.toLinearSrgb && colour.curves.every((curve) => curve === srgbToLinear);
  if (!isSrgb) return srgb8FromLinear(linearUpright(stored, colour, turn));
  const { width, height } = turnedSize(stored, turn);
  const { start, alongU, alongV } = uprightWalk(stored, turn);
  const out = new Uint8Array(3 * width * height);
  const spread = channels === 1 ? 0 : 1;
  for (let v = 0, o = 0; v < height; v++) {
    let i = (start + v * alongV) * channels;
    for (let u = 0; u < width; u++, i += alongU * channels, o += 3) {
      out[o] = data[i];
      out[o + 1] = data[i + spread];
      out[o + 2] = data[i + 2 * spread];
    }
  }
  return { encoding: 'srgb8', width, height, data: out };
}

/** Tables live as long as their curve. */
const tables = { 256: new WeakMap<Curve, Float32Array>(), 65536: new WeakMap<Curve, Float32Array>() };

function table(curve: Curve, codes: 256 | 65536): Float32Array {
  const values = tables[codes].get(curve) ?? Float32Array.from({ length: codes }, (_, code) => curve(code / (codes - 1)));
  tables[codes].set(curve, values);
  return values;
}

function mix(rgb: Float32Array, m: Float64Array): void {
  const [a, b, c, d, e, f, g, h, k] = m as unknown as [number, number, number, number, number, number, number, number, number];
  for (let i = 0; i < rgb.length; i += 3) {
    const red = rgb[i];
    const green = rgb[i + 1];
    const blue = rgb[i + 2];
    rgb[i] = a * red + b * green + c * blue;
    rgb[i + 1] = d * red + e * green + f * blue;
    rgb[i + 2] = g * red + h * green + k * blue;
  }
}
