/**
 * Which landmark is which in a mirror: the canonical mesh is exactly symmetric about x = 0.
 */
import { canonicalMesh } from './canonical-mesh.ts';
import { LEFT_IRIS, RIGHT_IRIS } from './landmark-refinement.ts';
import { LANDMARK_COUNT, MESH_VERTEX_COUNT } from './types.ts';

/** Centre, then four points a quarter turn apart from the subject's left: a mirror swaps the second and the fourth. */
const IRIS_IN_MIRROR = [0, 3, 2, 1, 4];

let kept: Int32Array | null = null;

/** (478): mirrored[i] is the landmark that i becomes in the mirror image; its own inverse. */
export function mirroredLandmarks(): Int32Array {
  kept ??= build();
  return kept;
}

function build(): Int32Array {
  const { vertices } = canonicalMesh();
  const key = (x: number, i: number): string => [x, vertices[3 * i + 1], vertices[3 * i + 2]].map((v) => v.toFixed(4)).join();
  const at = new Map<string, number>();
  for (let i = 0; i < MESH_VERTEX_COUNT; i++) at.set(key(vertices[3 * i] + 0, i), i);
  const mirrored = new Int32Array(LANDMARK_COUNT);
  for (let i = 0; i < MESH_VERTEX_COUNT; i++) {
    const twin = at.get(key(0 - vertices[3 * i], i));
    if (twin === undefined)
      throw new Error(`vertex ${i} of the canonical mesh has no mirror image; install the pinned @mediapipe/face_mesh`);
    mirrored[i] = twin;
  }
  for (let k = 0; k < LEFT_IRIS.length; k++) {
    mirrored[LEFT_IRIS[k]] = RIGHT_IRIS[IRIS_IN_MIRROR[k]];
    mirrored[RIGHT_IRIS[k]] = LEFT_IRIS[IRIS_IN_MIRROR[k]];
  }
  return mirrored;
}
