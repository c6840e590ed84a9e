/**
 * Volume that a displacement along the normal adds to a surface.
 *
 * Frame   mm; displacement positive outwards. 1 mL is 1000 cubic mm.
 * Model   `displacementVolumeMl` is the integral of the displacement over the area, the definition of volume used in
 *         this program. `volumeBetweenMl` is the exact volume between two meshes of the same triangles. On a surface of
 *         mean curvature H the two differ by H d^2 per area: about 1 % for 1 mm on a cheek of 100 mm radius.
 */
import { type Ml, ml } from '#shared/units.ts';
import { integralOverMesh } from './mesh.ts';
import type { Mesh } from './types.ts';

export const MM3_PER_ML = 1000;

/** Integral of the displacement (n, mm) over the mesh (mm). */
export function displacementVolumeMl(mesh: Pick<Mesh, 'vertices' | 'triangles'>, displacementMm: ArrayLike<number>): Ml {
  return ml(integralOverMesh(mesh, displacementMm) / MM3_PER_ML);
}

/**
 * Signed volume between two meshes of the same triangles, positive where `to` lies outside `from`.
 * Each triangle and its moved copy bound a prism whose sides are ruled; the moment formula below is exact for linear motion.
 */
export function volumeBetweenMl(from: ArrayLike<number>, to: ArrayLike<number>, triangles: ArrayLike<number>): Ml {
  if (from.length !== to.length) throw new RangeError(`vertex arrays must pair up, got lengths ${from.length} and ${to.length}`);
  let volume = 0;
  const p = new Float64Array(9);
  const d = new Float64Array(9);
  for (let t = 0; t < triangles.length; t += 3) {
    for (let k = 0; k < 3; k++)
      for (let c = 0; c < 3; c++) {
        const i = 3 * triangles[t + k] + c;
        p[3 * k + c] = from[i];
        d[3 * k + c] = to[i] - from[i];
      }
    volume += sweptVolume(p, d);
  }
  return ml(volume / MM3_PER_ML);
}

/**
 * Volume swept by a triangle p whose corners move by d: the integral over time 0..1 of (mean velocity) . (area vector). The
 * area vector is quadratic in time, so Simpson's rule is exact.
 */
function sweptVolume(p: Float64Array, d: Float64Array): number {
  const vx = (d[0] + d[3] + d[6]) / 3;
  const vy = (d[1] + d[4] + d[7]) / 3;
  const vz = (d[2] + d[5] + d[8]) / 3;
  let sum = 0;
  for (let step = 0; step < 3; step++) {
    const time = step / 2;
    const ux = p[3] - p[0] + time * (d[3] - d[0]);
    const uy = p[4] - p[1] + time * (d[4] - d[1]);
    const uz = p[5] - p[2] + time * (d[5] - d[2]);
    const wx = p[6] - p[0] + time * (d[6] - d[0]);
    const wy = p[7] - p[1] + time * (d[7] - d[1]);
    const wz = p[8] - p[2] + time * (d[8] - d[2]);
    const flux = (vx * (uy * wz - uz * wy) + vy * (uz * wx - ux * wz) + vz * (ux * wy - uy * wx)) / 2;
    sum += (step === 1 ? 4 : 1) * flux;
  }
  return sum / 6;
}
