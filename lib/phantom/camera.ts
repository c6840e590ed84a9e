/**
 * From radiance to a photograph: lens blur, corner fall-off, exposure, photon and read noise, sRGB.
 *
 * Order   light is linear until the last step: blur and sampling, exposure, noise, clipping, coding (IEC 61966-2-1).
 */

import type { Srgb8Raster } from '#lib/photo/types.ts';
import { randomFrom } from '#lib/stats/random.ts';
import type { CameraSpec } from './types.ts';

export const CLINIC_CAMERA: CameraSpec = {
  widthPx: 1000,
  heightPx: 1250,
  distanceMm: 1200,
  interpupillaryPx: 250,
  exposure: 1,
  fullWell: 30000,
  readNoise: 8,
  blurPx: 0.55,
  vignetting: 0.06,
  noiseSeed: 1,
};

/** Levels between 0 and 1 of the coding table; linear values are rounded to them before coding. */
const CODE_STEPS = 16384;
const codes = Uint8Array.from({ length: CODE_STEPS + 1 }, (_, i) => {
  const linear = i / CODE_STEPS;
  return Math.round(255 * (linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055));
});

/** `radiance` (height, width, 3) in samples; returns the photograph at the camera's size. */
export function photograph(radiance: Float32Array, width: number, height: number, camera: CameraSpec): Srgb8Raster {
  const { widthPx, heightPx, exposure, fullWell, readNoise, vignetting, noiseSeed } = camera;
  const sharp = resampled(radiance, width, height, widthPx, heightPx, camera.blurPx);
  const data = new Uint8Array(3 * widthPx * heightPx);
  const chance = randomFrom(noiseSeed);
  const corner2 = (widthPx / 2) ** 2 + (heightPx / 2) ** 2;
  for (let y = 0, i = 0; y < heightPx; y++)
    for (let x = 0; x < widthPx; x++) {
      const far2 = ((x + 0.5 - widthPx / 2) ** 2 + (y + 0.5 - heightPx / 2) ** 2) / corner2;
      const factor = exposure * (1 - vignetting * far2);
      for (let c = 0; c < 3; c++, i++) {
        const value = sharp[i] * factor;
        const noisy = value + (chance.normal() * Math.sqrt(Math.max(0, value) * fullWell + readNoise * readNoise)) / fullWell;
        data[i] = codes[Math.round(Math.min(1, Math.max(0, noisy)) * CODE_STEPS)];
      }
    }
  return { encoding: 'srgb8', width: widthPx, height: heightPx, data };
}

/** Gaussian blur and sampling in one: rows, then columns. */
function resampled(source: Float32Array, width: number, height: number, toWidth: number, toHeight: number, blurPx: number): Float32Array {
  const across = kernels(width, toWidth, blurPx);
  const down = kernels(height, toHeight, blurPx);
  const between = new Float32Array(3 * toWidth * height);
  for (let y = 0; y < height; y++)
    for (let x = 0; x < toWidth; x++) {
      let [r, g, b] = [0, 0, 0];
      const { first, weights } = across[x];
      for (let k = 0, at = 3 * (y * width + first); k < weights.length; k++, at += 3) {
        r += weights[k] * source[at];
        g += weights[k] * source[at + 1];
        b += weights[k] * source[at + 2];
      }
      const to = 3 * (y * toWidth + x);
      between[to] = r;
      between[to + 1] = g;
      between[to + 2] = b;
    }
  const out = new Float32Array(3 * toWidth * toHeight);
  const row = 3 * toWidth;
  for (let y = 0; y < toHeight; y++) {
    const { first, weights } = down[y];
    for (let k = 0; k < weights.length; k++) {
      const from = (first + k) * row;
      for (let x = 0; x < row; x++) out[y * row + x] += weights[k] * between[from + x];
    }
  }
  return out;
}

function kernels(from: number, to: number, blurPx: number): { first: number; weights: number[] }[] {
  const step = from / to;
  const sigma = Math.max(0.3, blurPx * step);
  return Array.from({ length: to }, (_, i) => {
    const centre = (i + 0.5) * step - 0.5;
    const first = Math.max(0, Math.floor(centre - 3 * sigma));
    const last = Math.min(from - 1, Math.ceil(centre + 3 * sigma));
    const raw = Array.from({ length: last - first + 1 }, (_, k) => Math.exp(-((first + k - centre) ** 2) / (2 * sigma * sigma)));
    const sum = raw.reduce((total, value) => total + value, 0);
    return { first, weights: raw.map((value) => value / sum) };
  });
}
