/**
 * What the engine returns becomes landmarks in the project's frame.
 *
 * Frame   in: fractions of the picture's width and height (z: of the width). Out: (478, 3) px of the raster; x right, y down;
 *         the centre of the first pixel is (0.5, 0.5).
 * Model   The engine cuts a square of ROI px out of the picture, turns it upright and shrinks it to MODEL_PX. It takes
 *         pixel centres for whole numbers on the way, which puts its answer half a pixel of the raster to the left and
 *         above; and the model itself answers MODEL_OFFSET model px to the right and below, in the turned frame.
 *         Both were measured, not assumed: the same faces at 40 to 220 px between the pupils drift by 0.5 to 0.6 px of the
 *         raster in x and y; and between 41 faces and their mirror images the ten iris points differ by twice 0.33 model px
 *         (standard error 0.01), all 478 points by twice 0.29 (0.03). Vertically a mirror is no help; the same
 *         offset is taken, and hand-placed points agree with it (docs/landmarks.md).
 */
import type { NormalizedLandmark } from '@mediapipe/tasks-vision';
import { LEFT_EYE, LEFT_IRIS, LEFT_IRIS_DEPTH_FROM, RIGHT_EYE, RIGHT_IRIS, RIGHT_IRIS_DEPTH_FROM } from './landmark-refinement.ts';
import { LANDMARK_COUNT, MESH_VERTEX_COUNT } from './types.ts';

const MODEL_PX = 192;
const MODEL_OFFSET = 0.32;
/** Side of the engine's square over the longer side of the box round the mesh: 1.36, between 1.26 and 1.42 on 30 faces. */
const ROI_PER_BOX = 1.36;
const HALF_PIXEL = 0.5;

/** (478, 3) px; the irises get the mean depth of their eye's contour. Throws when the engine gives another number of points. */
export function landmarksInPixels(points: readonly NormalizedLandmark[], width: number, height: number): Float64Array {
  if (points.length !== LANDMARK_COUNT) throw new Error(`the landmark engine gave ${points.length} points, expected ${LANDMARK_COUNT}`);
  const out = new Float64Array(3 * LANDMARK_COUNT);
  for (let i = 0; i < LANDMARK_COUNT; i++) {
    out[3 * i] = points[i].x * width;
    out[3 * i + 1] = points[i].y * height;
    out[3 * i + 2] = points[i].z * width;
  }
  const box = boxOf(out);
  const offset = (MODEL_OFFSET * ROI_PER_BOX * Math.max(box.width, box.height)) / MODEL_PX;
  const roll = rollOf(out);
  const dx = HALF_PIXEL - offset * (Math.cos(roll) - Math.sin(roll));
  const dy = HALF_PIXEL - offset * (Math.sin(roll) + Math.cos(roll));
  for (let i = 0; i < out.length; i += 3) {
    out[i] += dx;
    out[i + 1] += dy;
  }
  levelIris(out, LEFT_IRIS, LEFT_IRIS_DEPTH_FROM);
  levelIris(out, RIGHT_IRIS, RIGHT_IRIS_DEPTH_FROM);
  return out;
}

/** Width plus height of the box round the mesh, px. */
export function extent(landmarks: Float64Array): number {
  const { width, height } = boxOf(landmarks);
  return width + height;
}

function boxOf(landmarks: Float64Array): { width: number; height: number } {
  let left = Infinity,
    right = -Infinity,
    top = Infinity,
    bottom = -Infinity;
  for (let i = 0; i < 3 * MESH_VERTEX_COUNT; i += 3) {
    left = Math.min(left, landmarks[i]);
    right = Math.max(right, landmarks[i]);
    top = Math.min(top, landmarks[i + 1]);
    bottom = Math.max(bottom, landmarks[i + 1]);
  }
  return { width: right - left, height: bottom - top };
}

/** Angle of the line through the outer corners of the eyes, radians, clockwise on screen. */
function rollOf(landmarks: Float64Array): number {
  const from = 3 * LEFT_EYE[0],
    to = 3 * RIGHT_EYE[0];
  return Math.atan2(landmarks[to + 1] - landmarks[from + 1], landmarks[to] - landmarks[from]);
}

function levelIris(landmarks: Float64Array, iris: readonly number[], contour: readonly number[]): void {
  let sum = 0;
  for (const i of contour) sum += landmarks[3 * i + 2];
  for (const i of iris) landmarks[3 * i + 2] = sum / contour.length;
}
