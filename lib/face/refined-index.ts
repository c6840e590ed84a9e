/**
 * Which value of the model's joined outputs becomes which coordinate of the 478 landmarks.
 *
 * Frame   joined outputs: mesh x, y, z (468), then x, y of lips (80), left eye (71), right eye (71), left iris (5) and right
 *         iris (5); all in px of the model's input. Landmarks: x, y, z (478).
 */
import { LEFT_EYE, LEFT_IRIS, LEFT_IRIS_DEPTH_FROM, LIPS, RIGHT_EYE, RIGHT_IRIS, RIGHT_IRIS_DEPTH_FROM } from './landmark-refinement.ts';
import { LANDMARK_COUNT, MESH_VERTEX_COUNT } from './types.ts';

const REFINEMENTS = [LIPS, LEFT_EYE, RIGHT_EYE, LEFT_IRIS, RIGHT_IRIS];

/** (478, 3) indices, given the lengths of the six outputs in order; throws when they are not the expected ones. */
export function refinedIndex(lengths: readonly number[]): Int32Array {
  const expected = [3 * MESH_VERTEX_COUNT, ...REFINEMENTS.map((list) => 2 * list.length)];
  if (lengths.join() !== expected.join())
    throw new Error(
      `the landmark model's outputs have lengths ${lengths.join(', ')}, expected ${expected.join(', ')}; install the pinned @mediapipe/face_mesh`,
    );
  const index = new Int32Array(3 * LANDMARK_COUNT);
  for (let i = 0; i < 3 * MESH_VERTEX_COUNT; i++) index[i] = i;
  let at = 3 * MESH_VERTEX_COUNT;
  for (const list of REFINEMENTS) {
    for (const landmark of list) {
      index[3 * landmark] = at++;
      index[3 * landmark + 1] = at++;
    }
  }
  // A stand-in for the depth of an iris: that of the first point of its eye.
  for (const landmark of LEFT_IRIS) index[3 * landmark + 2] = 3 * LEFT_IRIS_DEPTH_FROM[0] + 2;
  for (const landmark of RIGHT_IRIS) index[3 * landmark + 2] = 3 * RIGHT_IRIS_DEPTH_FROM[0] + 2;
  return index;
}
