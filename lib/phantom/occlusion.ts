/**
 * What stands in the light's way: for each vertex, the share of a set of directions from which light reaches it.
 *
 * Frame   camera, mm. A direction is a unit vector towards the light.
 * Model   one orthographic height map per direction; a vertex is lit where nothing stands higher. The comparison is
 *         soft over a few millimetres and between cells, so a small movement of the surface changes the shadow smoothly.
 */
const CELLS = 208;
/** Heights within this of the highest count as lit; then light fades over the next part. */
const BIAS_MM = 2.2;
const SOFT_MM = 3;
/** A vertex looks from slightly outside its own surface. */
const LIFT_MM = 0.8;

export type Direction = readonly [number, number, number];

/**
 * For each vertex the mean over `directions` of visible weight: sum(w * seen) / sum(w), with w = weightOf(direction index, vertex).
 * `vertices`, `normals` (n, 3); returns (n), 1 where nothing is in the way or no direction has weight.
 */
export function lightReaching(
  vertices: Float64Array,
  normals: Float64Array,
  triangles: Uint32Array,
  directions: readonly Direction[],
  byNormal: ((cosine: number, direction: number) => number) | null,
): Float64Array {
  const n = vertices.length / 3;
  const lit = new Float64Array(n);
  const all = new Float64Array(n);
  const across = new Float32Array(n);
  const along = new Float32Array(n);
  const height = new Float32Array(n);
  const map = new Float32Array(CELLS * CELLS);
  const { middle, cellMm } = extentOf(vertices);
  directions.forEach((direction, d) => {
    const [lx, ly, lz] = direction;
    const [e1, e2] = basisOf(direction);
    for (let i = 0, k = 0; i < n; i++, k += 3) {
      const [x, y, z] = [vertices[k] - middle[0], vertices[k + 1] - middle[1], vertices[k + 2] - middle[2]];
      across[i] = (x * e1[0] + y * e1[1] + z * e1[2]) / cellMm + CELLS / 2;
      along[i] = (x * e2[0] + y * e2[1] + z * e2[2]) / cellMm + CELLS / 2;
      height[i] = x * lx + y * ly + z * lz;
    }
    map.fill(-1e9);
    drawHeights(map, across, along, height, triangles);
    for (let i = 0, k = 0; i < n; i++, k += 3) {
      const cosine = normals[k] * lx + normals[k + 1] * ly + normals[k + 2] * lz;
      const weight = byNormal ? byNormal(cosine, d) : 1;
      if (weight <= 0) continue;
      const lift = LIFT_MM / cellMm;
      const a = across[i] + lift * (normals[k] * e1[0] + normals[k + 1] * e1[1] + normals[k + 2] * e1[2]) - 0.5;
      const b = along[i] + lift * (normals[k] * e2[0] + normals[k + 1] * e2[1] + normals[k + 2] * e2[2]) - 0.5;
      lit[i] += weight * seen(map, a, b, height[i] + LIFT_MM * cosine + BIAS_MM);
      all[i] += weight;
    }
  });
  return lit.map((value, i) => (all[i] > 0 ? value / all[i] : 1));
}

function seen(map: Float32Array, a: number, b: number, own: number): number {
  const i = Math.floor(a);
  const j = Math.floor(b);
  if (i < 0 || j < 0 || i >= CELLS - 1 || j >= CELLS - 1) return 1;
  const at = j * CELLS + i;
  const [fa, fb] = [a - i, b - j];
  return (
    (1 - fb) * ((1 - fa) * clear(map[at], own) + fa * clear(map[at + 1], own)) +
    fb * ((1 - fa) * clear(map[at + CELLS], own) + fa * clear(map[at + CELLS + 1], own))
  );
}

function clear(highest: number, own: number): number {
  const above = (highest - own) / SOFT_MM;
  return above <= 0 ? 1 : above >= 1 ? 0 : 1 - above * above * (3 - 2 * above);
}

function drawHeights(map: Float32Array, across: Float32Array, along: Float32Array, height: Float32Array, triangles: Uint32Array): void {
  for (let t = 0; t < triangles.length; t += 3) {
    const i = triangles[t];
    const j = triangles[t + 1];
    const k = triangles[t + 2];
    const xa = across[i];
    const ya = along[i];
    const ux = across[j] - xa;
    const uy = along[j] - ya;
    const vx = across[k] - xa;
    const vy = along[k] - ya;
    const area = ux * vy - vx * uy;
    // what stands in the way also has a side towards the light; the other side need not be drawn
    if (area <= 0) continue;
    const left = Math.max(0, Math.ceil(xa + Math.min(0, ux, vx) - 0.5));
    const right = Math.min(CELLS - 1, Math.floor(xa + Math.max(0, ux, vx) - 0.5));
    const top = Math.max(0, Math.ceil(ya + Math.min(0, uy, vy) - 0.5));
    const bottom = Math.min(CELLS - 1, Math.floor(ya + Math.max(0, uy, vy) - 0.5));
    if (left > right || top > bottom) continue;
    const hj = height[j] - height[i];
    const hk = height[k] - height[i];
    for (let y = top; y <= bottom; y++)
      for (let x = left; x <= right; x++) {
        const px = x + 0.5 - xa;
        const py = y + 0.5 - ya;
        const wb = (px * vy - vx * py) / area;
        const wc = (ux * py - px * uy) / area;
        if (wb < 0 || wc < 0 || wb + wc > 1) continue;
        const h = height[i] + wb * hj + wc * hk;
        if (h > map[y * CELLS + x]) map[y * CELLS + x] = h;
      }
  }
}

function extentOf(vertices: Float64Array): { middle: number[]; cellMm: number } {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let k = 0; k < vertices.length; k++) {
    low[k % 3] = Math.min(low[k % 3], vertices[k]);
    high[k % 3] = Math.max(high[k % 3], vertices[k]);
  }
  // Shoulders reach further than the map needs to: what matters is within 160 mm of the head's middle.
  const middle = [0, 1, 2].map((k) => (low[k] + high[k]) / 2);
  return { middle, cellMm: Math.min(400, Math.hypot(...[0, 1, 2].map((k) => high[k] - low[k]))) / CELLS };
}

function basisOf([x, y, z]: Direction): readonly [Direction, Direction] {
  const helper: Direction = Math.abs(y) < 0.9 ? [0, 1, 0] : [1, 0, 0];
  const first = cross(helper, [x, y, z]);
  const size = Math.hypot(...first);
  const e1: Direction = [first[0] / size, first[1] / size, first[2] / size];
  return [e1, cross([x, y, z], e1)];
}

function cross(a: Direction, b: Direction): [number, number, number] {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}
