/**
 * How evenly a frontal face is lit from left to right.
 *
 * Model   each skin vertex of the subject's right against its mirror image on the left; on average the skin of both is the same.
 */
import { median } from '#lib/stats/quantile.ts';
import { canonicalMesh } from './canonical-mesh.ts';
import { mirroredLandmarks } from './mirror.ts';
import { SKIN_LANDMARKS, skinLight } from './skin-light.ts';
import type { Face } from './types.ts';

/** Brighter half over darker half of the face, 1 or more; null in a turned view, where the halves are not seen alike. */
export function sideRatio(face: Omit<Face, 'checks'>): number | null {
  if (face.view !== 'frontal') return null;
  const light = skinLight(face);
  const mirror = mirroredLandmarks();
  const { vertices } = canonicalMesh();
  const logs = SKIN_LANDMARKS.filter((i) => vertices[3 * i] < 0 && light[i] > 0 && light[mirror[i]] > 0).map((i) =>
    Math.log(light[i] / light[mirror[i]]),
  );
  return logs.length === 0 ? null : Math.exp(Math.abs(median(logs)));
}
