/** Distance between the iris centres in the picture, in the unit of `landmarks` (478, 3), depth left out. */
import { IRIS_LEFT, IRIS_RIGHT } from './features.ts';

export function pupilDistance(landmarks: ArrayLike<number>): number {
  const [a, b] = [3 * IRIS_RIGHT[0], 3 * IRIS_LEFT[0]];
  return Math.hypot(landmarks[a] - landmarks[b], landmarks[a + 1] - landmarks[b + 1]);
}
