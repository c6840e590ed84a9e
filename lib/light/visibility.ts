/**
 * Which lamps each cell of skin sees: the face's own nose, brow and cheek stand in the way of the others.
 *
 * Frame   viewer: x right, y up, z towards the viewer; mm.
 * Model   lamps at evenly spread directions; a ray from the cell climbs over the height map of the fitted face. The clearance of
 *         the ray, as the tangent of an angle, becomes visibility by a smooth step, because lamps and mesh are both soft.
 */
import type { SkinCells } from './skin-cells.ts';

/** Directions are points of a Fibonacci lattice of this many on the whole sphere; those behind the face are left out. */
const LATTICE = 90;
const BEHIND = -0.25;
/** Tangent over which a lamp is half hidden: about 8 degrees, a clinic's softbox at arm's length. */
const PENUMBRA = 0.14;
/** Steps along the ray, mm: fine near the skin, where folds are, coarse where only the nose can be. */
const STEPS_MM = [3, 4.5, 6, 8, 11, 14, 18, 23, 29, 37, 47, 60, 75] as const;

/** (n, 3) unit directions towards the lamps. */
export const LAMPS: Float64Array = Float64Array.from(
  Array.from({ length: LATTICE }, (_, i) => {
    const z = 1 - (2 * i + 1) / LATTICE;
    const angle = i * Math.PI * (3 - Math.sqrt(5));
    const r = Math.sqrt(1 - z * z);
    return [r * Math.cos(angle), r * Math.sin(angle), z];
  })
    .filter((lamp) => lamp[2] > BEHIND)
    .flat(),
);
export const LAMP_COUNT = LAMPS.length / 3;

/** (count, LAMP_COUNT) 0..1 */
export function visibility({
  width,
  height,
  at,
  count,
  heightMm,
  mmPerCell,
}: Pick<SkinCells, 'width' | 'height' | 'at' | 'count' | 'heightMm' | 'mmPerCell'>): Float32Array {
  const out = new Float32Array(count * LAMP_COUNT);
  for (let l = 0; l < LAMP_COUNT; l++) {
    const [dx, dy, dz] = [LAMPS[3 * l] / mmPerCell, -LAMPS[3 * l + 1] / mmPerCell, LAMPS[3 * l + 2]];
    for (let k = 0; k < count; k++) {
      const x = at[k] % width,
        y = (at[k] / width) | 0;
      const z = heightMm[at[k]];
      let clearance = 9;
      for (const t of STEPS_MM) {
        const i = Math.round(x + t * dx),
          j = Math.round(y + t * dy);
        if (i < 0 || j < 0 || i >= width || j >= height) break;
        const over = (z + t * dz - heightMm[j * width + i]) / t;
        if (over < clearance) clearance = over;
      }
      const share = Math.min(1, Math.max(0, (clearance + PENUMBRA) / (2 * PENUMBRA)));
      out[k * LAMP_COUNT + l] = share * share * (3 - 2 * share);
    }
  }
  return out;
}
