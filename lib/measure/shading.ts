/**
 * How strongly skin brightens when it turns: the gradient of log irradiance over the sphere of normals.
 *
 * Model   luminance of the cells = albedo * nine-term light; albedo scatters about one value, robustly. Both photographs, the after one
 *         under the before light, so that what is left of noise and wander halves.
 * Limit   skin that is darker where the face turns away (orbit, jaw) is taken for shading; the gradient is then off by a factor
 *         common to the zone. Validation puts a figure on that.
 */
import { luminanceFromLinearSrgb } from '#lib/colour/luminance.ts';
import { harmonicsInto, irradianceAndGradient } from '#lib/light/spherical-harmonics.ts';
import type { RelitPair } from '#lib/light/relight.ts';
import { tukey } from '#lib/stats/robust-loss.ts';
import { solveSpd } from '#lib/stats/solve-spd.ts';

const TERMS = 9;
/** Prior standard deviation of each order's amplitude over the constant term's: light in a room is neither a point nor a dome. */
const PRIOR: readonly number[] = [1e3, 1, 1, 1, 0.2, 0.2, 0.2, 0.2, 0.2];
/** Scatter of albedo over a face, relative; sets how strongly the prior holds. */
const ALBEDO_SD = 0.12;
const CELLS_PER_SAMPLE = 60;
/** Irradiance under this share of the mean is shadow: its gradient would be division by nearly nothing. */
const DEEP_SHADOW = 0.3;

export type Shading = Readonly<{
  /** (count, 3) tangential gradient of log irradiance per unit of turn, viewer frame */
  gradient: Float64Array;
  /** (9) */
  light: Float64Array;
  /** (count) 0..1: how far the model explains the brightness of the cell */
  trust: Float64Array;
}>;

export function shadingOf({ cells, relit }: RelitPair): Shading {
  const y = Float64Array.from({ length: cells.count }, (_, k) => {
    const b = luminanceFromLinearSrgb(cells.before[3 * k], cells.before[3 * k + 1], cells.before[3 * k + 2]);
    const a = luminanceFromLinearSrgb(relit[3 * k], relit[3 * k + 1], relit[3 * k + 2]);
    return Math.sqrt(a * b);
  });
  const level = Float64Array.from(y).sort()[y.length >> 1];
  const basis = new Float64Array(cells.count * TERMS);
  for (let k = 0; k < cells.count; k++) harmonicsInto(basis, k * TERMS, cells.normal[3 * k], cells.normal[3 * k + 1], cells.normal[3 * k + 2], TERMS);
  const loss = tukey(3.5);
  const weight = new Float64Array(cells.count).fill(1);
  let light = new Float64Array(TERMS);
  for (let round = 0; round < 8; round++) {
    const normal = new Float64Array(TERMS * TERMS), right = new Float64Array(TERMS);
    for (let k = 0; k < cells.count; k++) {
      const w = weight[k] / (ALBEDO_SD ** 2 * CELLS_PER_SAMPLE);
      for (let a = 0; a < TERMS; a++) {
        right[a] += w * basis[k * TERMS + a] * (y[k] / level);
        for (let b = 0; b <= a; b++) normal[a * TERMS + b] += w * basis[k * TERMS + a] * basis[k * TERMS + b];
      }
    }
    for (let a = 0; a < TERMS; a++) normal[a * TERMS + a] += 1 / (PRIOR[a] * 3.5) ** 2; // 3.5 = 1 / Y0: amplitude that makes a mean of one
    light = Float64Array.from(solveSpd(normal, right, TERMS));
    for (let k = 0; k < cells.count; k++) {
      let fitted = 0;
      for (let a = 0; a < TERMS; a++) fitted += basis[k * TERMS + a] * light[a];
      weight[k] = loss.weight((y[k] / level / Math.max(0.05, fitted) - 1) / ALBEDO_SD);
    }
  }
  const gradient = new Float64Array(cells.count * 3);
  const trust = new Float64Array(cells.count);
  for (let k = 0; k < cells.count; k++) {
    const [nx, ny, nz] = [cells.normal[3 * k], cells.normal[3 * k + 1], cells.normal[3 * k + 2]];
    const [e, gx, gy, gz] = irradianceAndGradient(light, nx, ny, nz);
    const along = gx * nx + gy * ny + gz * nz;
    const floor = Math.max(e, DEEP_SHADOW);
    gradient[3 * k] = (gx - along * nx) / floor;
    gradient[3 * k + 1] = (gy - along * ny) / floor;
    gradient[3 * k + 2] = (gz - along * nz) / floor;
    trust[k] = weight[k];
  }
  return { gradient, light, trust };
}
