/**
 * The head of one face: its pose, its perspective, and the canonical mesh fitted to it.
 *
 * Frames  as in types.ts. Angles are those of the head against the line of sight to it, which is what the photograph
 *         shows, so that a face near the picture's edge reads as it looks; `rotation` is against the camera's axis.
 * Model   (1) pose and perspective of the canonical mesh, robustly, on the landmarks of stable-landmarks.ts; (2) the nearness
 *         from nearness.ts, and the pose again with it held; (3) every vertex slides in its own depth plane until its
 *         projection meets its landmark. Depth stays the canonical one: see docs/head.md for why.
 * Error   Noise of the landmarks is carried through the fit. On top comes the person's own shape, which differs from the
 *         canonical one smoothly: what the landmarks leave over beyond their noise is carried through with a
 *         correlation that falls with distance on the mesh. That part is the same in every photograph of a person
 *         in the same pose and cancels in differences. The third part is the nearness: the pose is fitted again one
 *         standard uncertainty nearer.
 */
import { multiply3, type PoseRad, poseFromRotation, rotationFromVector } from '#lib/geometry/rotation.ts';
import { type Deg, deg, type Measured } from '#shared/units.ts';
import type { CameraGuess } from './camera-guess.ts';
import { nearnessFrom } from './nearness.ts';
import { fitPose, type PoseFit } from './pose-fit.ts';
import { seenShape } from './seen-shape.ts';
import { STABLE_LANDMARKS } from './stable-landmarks.ts';
import { type HeadFit, LANDMARK_COUNT, MESH_VERTEX_COUNT } from './types.ts';

/** The free fit of the perspective is hardly held: only far enough that a face without depth cannot run away. Per mm. */
const FREE_NEARNESS = { value: 0.0005, u: 0.003 };
/** A held nearness: a thousandth per metre. */
const HELD_U = 1e-6;
/** Distance over which shapes of faces differ together, mm. Faces differ by features, and features are this large. */
const SHAPE_CORRELATION_MM = 25;
/** The fit takes up much of a smooth difference of shape; what the residual shows is this share of its sd. From drawn shapes, see tests/face/head.test.ts. */
const SHAPE_LEFT_OVER = 0.58;

/**
 * Fits the head.
 * `landmarks` (478, 3) px and `landmarkUPx` (478) px as in Face; only x, y and the first 468 count. Throws a RangeError on other lengths.
 */
export function fitHead(landmarks: ArrayLike<number>, landmarkUPx: ArrayLike<number>, camera: CameraGuess): HeadFit {
  if (landmarks.length !== 3 * LANDMARK_COUNT || landmarkUPx.length !== LANDMARK_COUNT)
    throw new RangeError(`expected ${LANDMARK_COUNT} landmarks and uncertainties, got ${landmarks.length / 3} and ${landmarkUPx.length}`);
  const shape = gathered(seenShape(), 3, 3);
  const picture = gathered(landmarks, 3, 2);
  const weight = new Float64Array(STABLE_LANDMARKS.length).fill(1);
  const problem = { shape, picture, weight, principalPx: camera.principalPx };

  const free = fitPose({ ...problem, nearness: FREE_NEARNESS });
  const nearness = nearnessFrom(1000 * free.nearnessPerMm, free.pxPerMm, camera.focal);
  const fit = fitPose({ ...problem, nearness: { value: nearness.value / 1000, u: HELD_U } });

  const nearer = fitPose({ ...problem, nearness: { value: (nearness.value + nearness.u) / 1000, u: HELD_U } });

  const pose = poseInSight(fit);
  const posed = angleUncertainty(
    fit,
    shape,
    Float64Array.from(STABLE_LANDMARKS, (i) => landmarkUPx[i]),
  );
  const moved = poseInSight(nearer);
  const u = {
    yaw: Math.hypot(posed.yaw, moved.yaw - pose.yaw),
    pitch: Math.hypot(posed.pitch, moved.pitch - pose.pitch),
    roll: Math.hypot(posed.roll, moved.roll - pose.roll),
  };
  const focalPx = fit.pxPerMm / fit.nearnessPerMm;
  return {
    yawDeg: inDegrees(pose.yaw, u.yaw),
    pitchDeg: inDegrees(pose.pitch, u.pitch),
    rollDeg: inDegrees(pose.roll, u.roll),
    rotation: fit.rotation,
    translationMm: Float64Array.of(fit.originPx[0] / fit.pxPerMm, fit.originPx[1] / fit.pxPerMm, 1 / fit.nearnessPerMm),
    focalPx,
    principalPx: camera.principalPx,
    nearnessPerM: nearness,
    verticesMm: verticesThrough(landmarks, fit, camera.principalPx),
    residualPx: fit.residualPx,
  };
}

/** The same head in another size: the canonical mesh knows only the average face's millimetres. `factor` is true mm per fitted mm. */
export function resizedHead(head: HeadFit, factor: number): HeadFit {
  return {
    ...head,
    translationMm: head.translationMm.map((v) => v * factor),
    verticesMm: head.verticesMm.map((v) => v * factor),
    nearnessPerM: { value: head.nearnessPerM.value / factor, u: head.nearnessPerM.u / factor },
  };
}

/** A point of the camera frame (mm) in the picture (px). */
export function projectMm(head: Pick<HeadFit, 'focalPx' | 'principalPx'>, x: number, y: number, z: number): [number, number] {
  return [head.principalPx[0] + (head.focalPx * x) / z, head.principalPx[1] + (head.focalPx * y) / z];
}

/** Rotation with the line of sight to the head turned onto the camera's axis. */
function poseInSight(fit: Pick<PoseFit, 'rotation' | 'originPx' | 'pxPerMm' | 'nearnessPerMm'>): PoseRad {
  const x = (fit.originPx[0] / fit.pxPerMm) * fit.nearnessPerMm;
  const y = (fit.originPx[1] / fit.pxPerMm) * fit.nearnessPerMm;
  const across = Math.hypot(x, y);
  if (across === 0) return poseFromRotation(fit.rotation);
  // The axis lies in the picture, at right angles to the way to the face; the turn brings (x, y, 1) to (0, 0, 1).
  const angle = Math.atan(across);
  return poseFromRotation(multiply3(rotationFromVector((angle * y) / across, (-angle * x) / across, 0), fit.rotation));
}

function angleUncertainty(fit: PoseFit, shape: Float64Array, noisePx: Float64Array): PoseRad {
  const n = noisePx.length;
  const angles = angleResponse(fit);
  let noise2 = 0;
  let total = 0;
  for (let i = 0; i < n; i++) {
    noise2 += fit.weight[i] * noisePx[i] ** 2;
    total += fit.weight[i];
  }
  const own = Math.sqrt(Math.max(0, fit.residualPx ** 2 - noise2 / total)) / SHAPE_LEFT_OVER;
  const [yaw, pitch, roll] = angles.map((row) => {
    let variance = 0;
    for (let i = 0; i < n; i++) {
      variance += (row[2 * i] ** 2 + row[2 * i + 1] ** 2) * noisePx[i] ** 2;
      for (let j = 0; j < n; j++) {
        const d2 =
          (shape[3 * i] - shape[3 * j]) ** 2 + (shape[3 * i + 1] - shape[3 * j + 1]) ** 2 + (shape[3 * i + 2] - shape[3 * j + 2]) ** 2;
        const together = Math.exp(-d2 / (2 * SHAPE_CORRELATION_MM ** 2));
        variance += own ** 2 * together * (row[2 * i] * row[2 * j] + row[2 * i + 1] * row[2 * j + 1]);
      }
    }
    return Math.sqrt(variance);
  });
  return { yaw, pitch, roll };
}

/** How yaw, pitch and roll (rad) move with each coordinate of the picture: three rows of 2n. */
function angleResponse(fit: PoseFit): [Float64Array, Float64Array, Float64Array] {
  const columns = fit.weight.length * 2;
  const rows: [Float64Array, Float64Array, Float64Array] = [
    new Float64Array(columns),
    new Float64Array(columns),
    new Float64Array(columns),
  ];
  const step = 1e-5;
  for (let axis = 0; axis < 3; axis++) {
    const turn = (amount: number): PoseRad => {
      const w = [0, 0, 0];
      w[axis] = amount;
      return poseFromRotation(multiply3(rotationFromVector(w[0], w[1], w[2]), fit.rotation));
    };
    const [more, less] = [turn(step), turn(-step)];
    const slopes = [more.yaw - less.yaw, more.pitch - less.pitch, more.roll - less.roll].map((d) => d / (2 * step));
    for (let k = 0; k < 3; k++) for (let c = 0; c < columns; c++) rows[k][c] += slopes[k] * fit.response[axis * columns + c];
  }
  return rows;
}

/** (468, 3) mm, camera frame. */
function verticesThrough(landmarks: ArrayLike<number>, fit: PoseFit, principalPx: readonly [number, number]): Float64Array {
  const canonical = seenShape();
  const out = new Float64Array(3 * MESH_VERTEX_COUNT);
  const r = fit.rotation;
  const distance = 1 / fit.nearnessPerMm;
  for (let i = 0; i < MESH_VERTEX_COUNT; i++) {
    const z = distance + r[6] * canonical[3 * i] + r[7] * canonical[3 * i + 1] + r[8] * canonical[3 * i + 2];
    const mmPerPx = z / (distance * fit.pxPerMm);
    out[3 * i] = (landmarks[3 * i] - principalPx[0]) * mmPerPx;
    out[3 * i + 1] = (landmarks[3 * i + 1] - principalPx[1]) * mmPerPx;
    out[3 * i + 2] = z;
  }
  return out;
}

function gathered(values: ArrayLike<number>, stride: number, dims: number): Float64Array {
  const out = new Float64Array(STABLE_LANDMARKS.length * dims);
  STABLE_LANDMARKS.forEach((i, k) => {
    for (let c = 0; c < dims; c++) out[k * dims + c] = values[i * stride + c];
  });
  return out;
}

const DEG_PER_RAD = 180 / Math.PI;
const inDegrees = (value: number, u: number): Measured<Deg> => ({ value: deg(value * DEG_PER_RAD), u: deg(u * DEG_PER_RAD) });
