/**
 * Landmarks as places in the head, mm, so that a turned head does not change distances on the face.
 *
 * Frame   head: x to the subject's left, y up, z out of the face; mm of the fitted head.
 * Model   A vertex of the mesh is where the fit put it. An iris point has no vertex: it lies in the plane of its eye's corners.
 */
import { IRIS_LEFT, IRIS_RIGHT } from './features.ts';
import { type HeadFit, LANDMARK_COUNT, MESH_VERTEX_COUNT } from './types.ts';

export type HeadPoints = Readonly<{
  /** (478, 3) mm. */
  mm: Float64Array;
  /** (478) standard uncertainty of one coordinate, mm. */
  uMm: Float64Array;
}>;

/** Corners of the eyes, outer and inner. */
export const CORNERS_RIGHT = [33, 133] as const;
export const CORNERS_LEFT = [263, 362] as const;

export function headPoints(landmarks: ArrayLike<number>, landmarkUPx: ArrayLike<number>, head: HeadFit): HeadPoints {
  const { rotation: r, translationMm: t, verticesMm: v, focalPx, principalPx } = head;
  const mm = new Float64Array(3 * LANDMARK_COUNT);
  const uMm = new Float64Array(LANDMARK_COUNT);
  const place = (i: number, z: number): void => {
    const x = ((landmarks[3 * i] - principalPx[0]) * z) / focalPx - t[0];
    const y = ((landmarks[3 * i + 1] - principalPx[1]) * z) / focalPx - t[1];
    for (let c = 0; c < 3; c++) mm[3 * i + c] = r[c] * x + r[3 + c] * y + r[6 + c] * (z - t[2]);
    uMm[i] = (landmarkUPx[i] * z) / focalPx;
  };
  for (let i = 0; i < MESH_VERTEX_COUNT; i++) place(i, v[3 * i + 2]);
  for (const i of IRIS_RIGHT) place(i, eyeDepth(v, CORNERS_RIGHT));
  for (const i of IRIS_LEFT) place(i, eyeDepth(v, CORNERS_LEFT));
  return { mm, uMm };
}

/** Distance from the camera of the plane of an eye's corners, mm. */
export function eyeDepth(verticesMm: ArrayLike<number>, corners: readonly [number, number]): number {
  return (verticesMm[3 * corners[0] + 2] + verticesMm[3 * corners[1] + 2]) / 2;
}

/** Distance between two landmarks in the head, mm. */
export function apart({ mm }: HeadPoints, a: number, b: number): number {
  return Math.hypot(mm[3 * a] - mm[3 * b], mm[3 * a + 1] - mm[3 * b + 1], mm[3 * a + 2] - mm[3 * b + 2]);
}
