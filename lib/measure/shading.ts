/**
 * How strongly skin brightens when it turns: the gradient of log irradiance over the sphere of normals.
 *
 * Model   luminance of a cell = albedo * (ambient + sum over lamps of power * visibility * clamped cosine), powers not
 *         negative; albedo scatters about one value, robustly. Real light is never negative, and that is what tells a lamp from a
 *         darker patch of skin better than free harmonics could; visibility keeps the nose's shadow from being taken for a slope.
 *         Both photographs, the after one under the before light, so that noise halves.
 * Limit   skin that is darker where the face turns away (orbit, jaw) is taken for shading; the gradient is then off by a factor
 *         common to the zone. Validation puts a figure on that.
 */
import { luminanceFromLinearSrgb } from '#lib/colour/luminance.ts';
import type { RelitPair } from '#lib/light/relight.ts';
import { LAMP_COUNT, LAMPS, visibility } from '#lib/light/visibility.ts';
import { solveNonNegative } from '#lib/stats/non-negative.ts';
import { tukey } from '#lib/stats/robust-loss.ts';

/** Scatter of albedo over a face, relative. */
const ALBEDO_SD = 0.1;
const ROUNDS = 6;
/** One cell in so many enters the fit of the lamps; all get its answer. */
const THINNING = 4;
/** Irradiance under this share of the mean is shadow: its gradient would be division by nearly nothing. */
const DEEP_SHADOW = 0.3;

export type Shading = Readonly<{
  /** (count, 3) tangential gradient of log irradiance per unit of turn, viewer frame */
  gradient: Float64Array;
  /** (count) fitted irradiance, 1 at the median cell's luminance */
  irradiance: Float64Array;
  /** (count, LAMP_COUNT + 1) what each lamp, and the ambient light, would give the cell at power one */
  basis: Float64Array;
  /** (LAMP_COUNT + 1) powers; the last is the ambient light */
  powers: Float64Array;
  /** (count) 0..1: how far the model explains the brightness of the cell */
  trust: Float64Array;
}>;

export function shadingOf({ cells, relit }: Pick<RelitPair, 'cells' | 'relit'>): Shading {
  const { count, normal } = cells;
  const n = LAMP_COUNT + 1;
  const y = Float64Array.from({ length: count }, (_, k) => {
    const b = luminanceFromLinearSrgb(cells.before[3 * k], cells.before[3 * k + 1], cells.before[3 * k + 2]);
    const a = luminanceFromLinearSrgb(relit[3 * k], relit[3 * k + 1], relit[3 * k + 2]);
    return Math.sqrt(a * b);
  });
  const level = Float64Array.from(y).sort()[count >> 1];
  const seen = visibility(cells);
  const basis = new Float64Array(count * n);
  for (let k = 0; k < count; k++) {
    for (let l = 0; l < LAMP_COUNT; l++)
      basis[k * n + l] =
        seen[k * LAMP_COUNT + l] *
        Math.max(0, normal[3 * k] * LAMPS[3 * l] + normal[3 * k + 1] * LAMPS[3 * l + 1] + normal[3 * k + 2] * LAMPS[3 * l + 2]);
    basis[k * n + LAMP_COUNT] = 1;
  }
  const loss = tukey(4);
  const trust = new Float64Array(count).fill(1);
  const irradiance = new Float64Array(count);
  let powers = new Float64Array(n);
  for (let round = 0; round < ROUNDS; round++) {
    const matrix = new Float64Array(n * n),
      right = new Float64Array(n);
    for (let k = 0; k < count; k += THINNING) {
      for (let a = 0; a < n; a++) {
        const w = trust[k] * basis[k * n + a];
        if (w === 0) continue;
        right[a] += (w * y[k]) / level;
        for (let b = 0; b <= a; b++) matrix[a * n + b] += w * basis[k * n + b];
      }
    }
    for (let a = 0; a < n; a++) matrix[a * (n + 1)] += 1; // one cell's worth, so that a lamp no cell sees stays dark
    powers = Float64Array.from(solveNonNegative(matrix, right, n));
    for (let k = 0; k < count; k++) {
      let sum = 0;
      for (let a = 0; a < n; a++) sum += basis[k * n + a] * powers[a];
      irradiance[k] = sum;
      trust[k] = loss.weight((y[k] / level / Math.max(0.05, sum) - 1) / ALBEDO_SD);
    }
  }
  return { gradient: gradientOf(normal, seen, powers, irradiance), basis, irradiance, powers, trust };
}

function gradientOf(normal: Float64Array, seen: Float32Array, powers: Float64Array, irradiance: Float64Array): Float64Array {
  const out = new Float64Array(normal.length);
  for (let k = 0; k < irradiance.length; k++) {
    const [nx, ny, nz] = [normal[3 * k], normal[3 * k + 1], normal[3 * k + 2]];
    let [gx, gy, gz] = [0, 0, 0];
    for (let l = 0; l < LAMP_COUNT; l++) {
      const [lx, ly, lz] = [LAMPS[3 * l], LAMPS[3 * l + 1], LAMPS[3 * l + 2]];
      if (powers[l] === 0 || nx * lx + ny * ly + nz * lz <= 0) continue;
      const power = powers[l] * seen[k * LAMP_COUNT + l];
      gx += power * lx;
      gy += power * ly;
      gz += power * lz;
    }
    const along = gx * nx + gy * ny + gz * nz;
    const floor = Math.max(irradiance[k], DEEP_SHADOW);
    out[3 * k] = (gx - along * nx) / floor;
    out[3 * k + 1] = (gy - along * ny) / floor;
    out[3 * k + 2] = (gz - along * nz) / floor;
  }
  return out;
}
