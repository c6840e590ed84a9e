/**
 * Where the head of the before photograph stands in the after photograph: the rigid part of the motion.
 *
 * Model   the surface fitted to the before photograph, moved rigidly in front of the after camera, so that its landmarks fall
 *         on those of the after photograph; robust, on landmarks that expression hardly moves. One shape for both photographs, so a wrong shape
 *         or a wrong iris is common to both and drops out.
 * Source  Gauss-Newton on six parameters; Huber weights (Huber, Robust Statistics, 1981, k = 1.345).
 */
import type { Face } from '#lib/face/types.ts';
import { multiply3, rotationFromVector } from '#lib/geometry/rotation.ts';
import { solveSpd } from '#lib/stats/solve-spd.ts';
import { project } from './surface-map.ts';

/**
 * Landmarks on forehead, temples, orbital rim and nose: bone lies near the skin there. Registration on forehead and
 * nose follows Häner et al., Scientific Reports (docs/sources.md); lips, chin, cheeks and lids are left out.
 */
export const STILL_LANDMARKS: readonly number[] = [
  10, 338, 297, 332, 284, 109, 67, 103, 54, 151, 108, 69, 104, 68, 71, 337, 299, 333, 298, 301, 9, 8, 168, 6, 197, 195, 5, 4, 1, 193, 417,
  122, 351, 196, 419, 3, 248, 51, 281, 45, 275, 44, 274, 174, 399, 188, 412, 33, 133, 362, 263, 139, 368, 34, 264, 143, 372, 116, 345,
];

export type RigidMotion = Readonly<{
  /** Row-major 3x3 and mm: after camera = R * before camera point + t. */
  rotation: Float64Array;
  translationMm: Float64Array;
  /** Root mean square of the landmarks used, px of the after photograph. */
  residualPx: number;
}>;

const HUBER_K = 1.345;
const ITERATIONS = 12;

export function relativePose(before: Face, after: Face): RigidMotion {
  const points = before.head.verticesMm;
  const [rb, ra] = [before.head.rotation, after.head.rotation];
  let rotation = multiply3(ra, transpose(rb));
  // Start with the after head's distance, brought to the before head's idea of a millimetre.
  let translation = startTranslation(before, after, rotation);
  let sigma = 3;
  for (let round = 0; round < ITERATIONS; round++) {
    const normal = new Float64Array(36);
    const right = new Float64Array(6);
    const squares: number[] = [];
    for (const i of STILL_LANDMARKS) {
      const [X, Y, Z] = moved(rotation, translation, points, i);
      const [u, v] = project(after.head, X, Y, Z);
      const ex = after.landmarks[3 * i] - u,
        ey = after.landmarks[3 * i + 1] - v;
      squares.push(ex * ex + ey * ey);
      const size = Math.hypot(ex, ey) / sigma;
      const weight = size < HUBER_K ? 1 : HUBER_K / size;
      const f = after.head.focalPx / Z;
      // d(u, v) / d(turn about the point's own frame, shift)
      const [px, py, pz] = [X - translation[0], Y - translation[1], Z - translation[2]];
      const du = [-f * (X / Z) * py, f * (pz + (X / Z) * px), -f * py, f, 0, -f * (X / Z)];
      const dv = [-f * (pz + (Y / Z) * py), f * (Y / Z) * px, f * px, 0, f, -f * (Y / Z)];
      for (let a = 0; a < 6; a++) {
        right[a] += weight * (du[a] * ex + dv[a] * ey);
        for (let b = 0; b < 6; b++) normal[6 * a + b] += weight * (du[a] * du[b] + dv[a] * dv[b]);
      }
    }
    squares.sort((p, q) => p - q);
    sigma = Math.max(0.2, Math.sqrt(squares[squares.length >> 1] / 1.386)); // median of chi-square with 2 degrees of freedom
    const step = solveSpd(normal, right, 6);
    rotation = multiply3(rotationFromVector(step[0], step[1], step[2]), rotation);
    translation = Float64Array.of(translation[0] + step[3], translation[1] + step[4], translation[2] + step[5]);
    if (Math.hypot(...step.subarray(0, 3)) < 1e-7 && Math.hypot(...step.subarray(3)) < 1e-4) break;
  }
  let sum = 0;
  for (const i of STILL_LANDMARKS) {
    const [u, v] = project(after.head, ...moved(rotation, translation, points, i));
    sum += (after.landmarks[3 * i] - u) ** 2 + (after.landmarks[3 * i + 1] - v) ** 2;
  }
  return { rotation, translationMm: translation, residualPx: Math.sqrt(sum / STILL_LANDMARKS.length) };
}

/** Vertex `i` of (n, 3) points, moved. */
function moved(r: Float64Array, t: Float64Array, points: Float64Array, i: number): [number, number, number] {
  const x = points[3 * i],
    y = points[3 * i + 1],
    z = points[3 * i + 2];
  return [r[0] * x + r[1] * y + r[2] * z + t[0], r[3] * x + r[4] * y + r[5] * z + t[1], r[6] * x + r[7] * y + r[8] * z + t[2]];
}

function startTranslation(before: Face, after: Face, rotation: Float64Array): Float64Array {
  const b = centroid(before.head.verticesMm);
  const a = centroid(after.head.verticesMm);
  const size = spread(before.head.verticesMm, b) / spread(after.head.verticesMm, a);
  return Float64Array.of(
    a[0] * size - (rotation[0] * b[0] + rotation[1] * b[1] + rotation[2] * b[2]),
    a[1] * size - (rotation[3] * b[0] + rotation[4] * b[1] + rotation[5] * b[2]),
    a[2] * size - (rotation[6] * b[0] + rotation[7] * b[1] + rotation[8] * b[2]),
  );
}

function centroid(points: Float64Array): [number, number, number] {
  const sum: [number, number, number] = [0, 0, 0];
  for (const i of STILL_LANDMARKS) for (let k = 0; k < 3; k++) sum[k] += points[3 * i + k] / STILL_LANDMARKS.length;
  return sum;
}

function spread(points: Float64Array, centre: readonly number[]): number {
  let sum = 0;
  for (const i of STILL_LANDMARKS) for (let k = 0; k < 3; k++) sum += (points[3 * i + k] - centre[k]) ** 2;
  return Math.sqrt(sum);
}

const transpose = (m: Float64Array): Float64Array => Float64Array.of(m[0], m[3], m[6], m[1], m[4], m[7], m[2], m[5], m[8]);
