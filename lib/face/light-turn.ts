/**
 * How the light on the face differs between two photographs, roughly, before anything is aligned.
 *
 * Model   Same skin at the same vertex, so albedo cancels in log(after / before). Under a light that is turned by a small angle
 *         a matt surface changes by that angle times its own slope to the light, so the slope of the log ratio over the
 *         normals reads as degrees of turn. Soft light reads lower, and harms less.
 *         Fitted robustly over bare-skin vertices that face the camera: highlights, hair and shadows are outvoted.
 */
import { vertexNormals } from '#lib/geometry/mesh.ts';
import { median, NORMAL_FROM_MAD } from '#lib/stats/quantile.ts';
import { solveSpd } from '#lib/stats/solve-spd.ts';
import { canonicalMesh } from './canonical-mesh.ts';
import { SKIN_LANDMARKS, skinLight } from './skin-light.ts';
import type { Face } from './types.ts';

type Sighted = Omit<Face, 'checks'>;

export type LightTurn = Readonly<{
  /** Degrees of turn of a single light that would do the same. */
  turnDeg: number;
  /** Its parts: positive when the after photograph is brighter on image right, or brighter from above. */
  rightDeg: number;
  aboveDeg: number;
}>;

/** Vertices count that face the camera within 60 degrees. */
const LEAST_FACING = 0.5;
const DARKEST = 0.002;
const HUBER = 1.345;

export function lightTurn(before: Sighted, after: Sighted): LightTurn {
  const rows = ratios(before, after);
  if (rows.length < 10) return { turnDeg: 0, rightDeg: 0, aboveDeg: 0 };
  const [, right, down] = robustPlane(rows);
  const degrees = 180 / Math.PI;
  return { turnDeg: Math.hypot(right, down) * degrees, rightDeg: right * degrees, aboveDeg: -down * degrees };
}

type Row = readonly [logRatio: number, right: number, down: number];

function ratios(before: Sighted, after: Sighted): Row[] {
  const { triangles } = canonicalMesh();
  const normals = vertexNormals({ vertices: before.head.verticesMm, triangles });
  const turned = vertexNormals({ vertices: after.head.verticesMm, triangles });
  const [a, b] = [skinLight(before), skinLight(after)];
  const rows: Row[] = [];
  for (const i of SKIN_LANDMARKS) {
    // In the camera frame the camera lies at negative z.
    if (-normals[3 * i + 2] < LEAST_FACING || -turned[3 * i + 2] < LEAST_FACING) continue;
    if (a[i] < DARKEST || b[i] < DARKEST) continue;
    rows.push([Math.log(b[i] / a[i]), normals[3 * i], normals[3 * i + 1]]);
  }
  return rows;
}

/** Offset and the two slopes, by Huber's weights. */
function robustPlane(rows: readonly Row[]): Float64Array {
  let plane = new Float64Array(3);
  let weights = rows.map(() => 1);
  for (let round = 0; round < 8; round++) {
    const normal = new Float64Array(9);
    const right = new Float64Array(3);
    rows.forEach(([value, nx, ny], k) => {
      const row = [1, nx, ny];
      for (let p = 0; p < 3; p++) {
        right[p] += weights[k] * row[p] * value;
        for (let q = 0; q < 3; q++) normal[3 * p + q] += weights[k] * row[p] * row[q];
      }
    });
    for (let p = 0; p < 3; p++) normal[4 * p] += 1e-9; // normals that are all alike have no slope, and that is 0
    plane = Float64Array.from(solveSpd(normal, right, 3));
    const misses = rows.map(([value, nx, ny]) => Math.abs(value - plane[0] - plane[1] * nx - plane[2] * ny));
    const cut = HUBER * Math.max(1e-6, NORMAL_FROM_MAD * median(misses));
    weights = misses.map((miss) => Math.min(1, cut / Math.max(miss, 1e-12)));
  }
  return plane;
}
