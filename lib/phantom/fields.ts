/**
 * Smooth displacement fields over the head, the words in which faces and movements are described.
 *
 * Frame   head, mm. A field is laid over the places of the average head, so it does not depend on what other fields do.
 */

export function smoothstep(low: number, high: number, x: number): number {
  const t = Math.min(1, Math.max(0, (x - low) / (high - low)));
  return t * t * (3 - 2 * t);
}

/** A Gaussian hill: 1 at its centre. `sigma` in mm for x, y and z alike. */
export type Hill = Readonly<{ at: readonly [number, number, number]; sigma: number; move: readonly [number, number, number] }>;

/** A hill on one side and its mirror image. */
export function bothSides(hill: Hill): readonly [Hill, Hill] {
  const flip = ([x, y, z]: readonly [number, number, number]): [number, number, number] => [-x, y, z];
  return [hill, { at: flip(hill.at), sigma: hill.sigma, move: flip(hill.move) }];
}

/** Adds hills to `out` (n, 3), each scaled by `strength`; `places` (n, 3) is the average head. */
export function addHills(out: Float64Array, places: Float64Array, hills: readonly Hill[], strength: number): void {
  if (strength === 0) return;
  for (const { at, sigma, move } of hills) {
    const reach2 = 16 * sigma * sigma;
    for (let i = 0; i < places.length; i += 3) {
      const [dx, dy, dz] = [places[i] - at[0], places[i + 1] - at[1], places[i + 2] - at[2]];
      const far2 = dx * dx + dy * dy + dz * dz;
      if (far2 > reach2) continue;
      const weight = strength * Math.exp(-far2 / (2 * sigma * sigma));
      for (let k = 0; k < 3; k++) out[i + k] += weight * move[k];
    }
  }
}

/** A line on the face as points (n, 3), mm. */
export type Crease = Readonly<{ line: readonly (readonly [number, number, number])[]; sigma: number }>;

/** Nearest distance, mm, from a place to the line, and how far along the line it lies, 0..1. */
export function nearLine(line: Crease['line'], x: number, y: number, z: number): { distance: number; along: number } {
  let best = Infinity;
  let along = 0;
  for (let i = 0; i + 1 < line.length; i++) {
    const [a, b] = [line[i], line[i + 1]];
    const [ux, uy, uz] = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
    const [px, py, pz] = [x - a[0], y - a[1], z - a[2]];
    const t = Math.min(1, Math.max(0, (px * ux + py * uy + pz * uz) / (ux * ux + uy * uy + uz * uz)));
    const distance = Math.hypot(px - t * ux, py - t * uy, pz - t * uz);
    if (distance < best) {
      best = distance;
      along = (i + t) / (line.length - 1);
    }
  }
  return { distance: best, along };
}
