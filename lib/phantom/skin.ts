/**
 * The colour of skin from its two dyes, and where the face is redder, darker and oilier.
 *
 * Model   reflectance of each channel = exp(-(base + melanin * m + blood * b)), linear sRGB. Melanin absorbs more
 *         towards blue, blood most in green; the coefficients are ours, set so that the range of tones runs from
 *         about (0.62, 0.40, 0.33) to (0.08, 0.035, 0.02).
 */
import type { SkinSpec } from './types.ts';

export const BASE = [0.23, 0.42, 0.66] as const;
export const MELANIN = [0.84, 0.98, 1.08] as const;
export const BLOOD = [0.06, 0.27, 0.2] as const;

/** Amount of melanin for a tone 0..1. */
export function melaninOf(tone: number): number {
  return 0.22 + 2.5 * tone ** 1.15;
}

/** (r, g, b) linear reflectance. */
export function reflectance(melanin: number, blood: number): [number, number, number] {
  return [0, 1, 2].map((c) => Math.exp(-(BASE[c] + MELANIN[c] * melanin + BLOOD[c] * blood))) as [number, number, number];
}

type Spot = readonly [x: number, y: number, z: number, sigma: number, melanin: number, blood: number, oil: number];

/** Subject's right and midline; mirrored. Melanin is relative to the person's own amount. */
const SPOTS: readonly Spot[] = [
  [-45, -8, 34, 16, 0, 0.75, -0.1], // cheek
  [-33, 0, 41, 12, 0, 0.3, 0.1],
  [0, -8, 75, 9, 0, 0.7, 0.55], // tip of the nose
  [-15, -11, 56, 7, 0, 0.7, 0.35], // ala
  [0, 15, 62, 11, -0.03, 0.15, 0.4], // dorsum
  [0, 62, 50, 22, 0.03, 0.05, 0.45], // forehead
  [-28, 60, 46, 20, 0.03, 0, 0.25],
  [-30, 18, 38, 8, 0.09, 0.25, -0.2], // lower lid
  [-19, 21, 40, 6, 0.12, 0.3, -0.2], // inner corner
  [-33, 34, 38, 9, 0.08, 0.3, 0.05], // upper lid
  [0, -80, 50, 14, 0.02, 0.2, 0.25], // chin
  [0, -28, 58, 12, 0.02, 0.15, 0.05],
  [-26, -46, 42, 7, 0.06, 0.1, -0.1], // beside the mouth
  [-68, 15, 0, 24, 0.04, -0.1, -0.15],
];

export type SkinAt = Readonly<{ /** (n) factor of melanin */ melanin: Float32Array; blood: Float32Array; oil: Float32Array }>;

/** Slow variation over the places of the average head, (n, 3) mm. */
export function skinAt(places: Float64Array, { redness, oil }: SkinSpec): SkinAt {
  const n = places.length / 3;
  const out = { melanin: new Float32Array(n).fill(1), blood: new Float32Array(n).fill(1), oil: new Float32Array(n).fill(0.5 * oil) };
  for (const [x, y, z, sigma, m, b, o] of SPOTS)
    for (let i = 0; i < n; i++) {
      // a spot off the midline lies on both sides
      const dx = (x === 0 ? places[3 * i] : -Math.abs(places[3 * i])) - x;
      const far2 = dx * dx + (places[3 * i + 1] - y) ** 2 + (places[3 * i + 2] - z) ** 2;
      if (far2 > 12 * sigma * sigma) continue;
      const weight = Math.exp(-far2 / (2 * sigma * sigma));
      out.melanin[i] += weight * m;
      out.blood[i] += weight * b * redness;
      out.oil[i] += weight * o * oil;
    }
  return out;
}
