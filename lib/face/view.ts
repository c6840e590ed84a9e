/**
 * Which of the usual views a photograph shows.
 *
 * Angles  degrees. Yaw positive: the subject turns to the subject's left, so the camera sees the right cheek. The view is named by
 *         the cheek it shows: yaw +45 is oblique-right, yaw -45 is oblique-left.
 * Limits  The usual set is 0, 45 and 90 degrees. People asked for a frontal view stand within 10 degrees of it, people
 *         asked for an oblique one anywhere from 30 to 55. So frontal ends at 18, nearer to 0 than to 45: a half-turned
 *         face is read as a poor oblique rather than as a poor frontal view, in which the far cheek would be measured
 *         foreshortened. The landmark engine reads rendered heads right up to 30 degrees, 45 as 40, and profiles of
 *         60 to 90 as 47 to 55, if it finds them at all; so what reads 47 and more is called lateral.
 */
import type { View } from '#shared/comparison.ts';

export const FRONTAL_WITHIN_DEG = 18;
export const OBLIQUE_WITHIN_DEG = 47;

/** The yaw at which each view is usually taken, as the engine reads it, degrees. */
export const USUAL_YAW_DEG: Readonly<Record<View, number>> = {
  frontal: 0,
  'oblique-left': -40,
  'oblique-right': 40,
  'lateral-left': -90,
  'lateral-right': 90,
};

export function viewOf(yawDeg: number): View {
  const turned = Math.abs(yawDeg);
  if (turned <= FRONTAL_WITHIN_DEG) return 'frontal';
  const side = yawDeg > 0 ? 'right' : 'left';
  return turned <= OBLIQUE_WITHIN_DEG ? `oblique-${side}` : `lateral-${side}`;
}
