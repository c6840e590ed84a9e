/**
 * Millimetres per pixel from the visible iris.
 *
 * Model   The horizontal white-to-white diameter is much the same in all adults. An eye that looks aside shows its iris as an
 *         ellipse; the turn of the eye follows from where the iris stands between the corners, and the diameter is
 *         divided by its cosine. Both eyes count by their precision.
 * Source  white-to-white 11.71 mm, sd 0.42 (n = 390): Rüfer, Schröder, Erb, Cornea 24:259-261, 2005; 11.80 mm, 2 sd from 10.8
 *         to 12.8 (n = 4787): Hashemi et al., J. Curr. Ophthalmol. 2015, PMC4877715. Methods differ by as much as
 *         people, hence 11.7 with sd 0.5.
 *         Eyeball: radius of the iris plane 10.5 mm, its centre 8 mm behind the corners' plane; rounded from the
 *         schematic eye (axial length 24 mm), good to 2 mm, which moves the cosine by under 1 % up to 20 degrees.
 */

import type { Raster } from '#lib/photo/raster.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { IRIS_LEFT, IRIS_RIGHT } from './features.ts';
import { CORNERS_LEFT, CORNERS_RIGHT, eyeDepth } from './head-points.ts';
import { fitLimbus } from './limbus.ts';
import type { HeadFit } from './types.ts';

export const IRIS_MM = 11.7;
export const IRIS_SD_MM = 0.5;
const IRIS_PLANE_MM = 10.5;
const EYE_BEHIND_CORNERS_MM = 8;
/** Uncertainty of the eye's turn, rad. */
const TURN_U = 0.1;
/** Beyond this turn the iris is an ellipse that the circle's side arcs miss, and its cosine is known to worse than 5 %. Rad. */
const MOST_TURN = 0.45;
/** The engine's iris points overstate the diameter by this, and scatter by that: 26 portraits against their fitted limbus. */
const ENGINE_OVERSTATES = 1.025;
const ENGINE_REL_U = 0.04;
/** A fitted limbus is never better than this: its edge is a band whose middle light and lashes shift. From four pictures of one person. */
const LIMBUS_REL_U = 0.01;

export type IrisScale = Readonly<{ mmPerPx: number; relU: number; eyes: number }>;

/** `image` is one channel of linear light in px of the landmarks. The scale is that of the plane of the pupils. */
export function irisScale(image: Raster, landmarks: ArrayLike<number>, head: HeadFit): Outcome<IrisScale, 'no-iris'> {
  const depths = [eyeDepth(head.verticesMm, CORNERS_RIGHT), eyeDepth(head.verticesMm, CORNERS_LEFT)];
  const pupils = (depths[0] + depths[1]) / 2;
  const seen = [
    oneEye(image, landmarks, head, IRIS_RIGHT, CORNERS_RIGHT, depths[0] / pupils),
    oneEye(image, landmarks, head, IRIS_LEFT, CORNERS_LEFT, depths[1] / pupils),
  ].filter((eye) => eye !== null);
  if (seen.length === 0) return refused('no-iris', 'Neither eye faces the camera enough to measure its iris.');
  const precision = seen.reduce((sum, eye) => sum + 1 / eye.relU ** 2, 0);
  const diameterPx = seen.reduce((sum, eye) => sum + eye.diameterPx / eye.relU ** 2, 0) / precision;
  // Two eyes of one person are alike; what they disagree by beyond their errors is error too.
  const disagree = seen.length === 2 ? Math.abs(seen[0].diameterPx - seen[1].diameterPx) / 2 / diameterPx : 0;
  const measured = Math.max(1 / Math.sqrt(precision), disagree);
  return found({ mmPerPx: IRIS_MM / diameterPx, relU: Math.hypot(IRIS_SD_MM / IRIS_MM, measured), eyes: seen.length });
}

/** Diameter at the pupils' depth, px, or null when the eye is turned too far. */
function oneEye(
  image: Raster,
  landmarks: ArrayLike<number>,
  head: HeadFit,
  iris: readonly number[],
  corners: readonly [number, number],
  depthRatio: number,
): Readonly<{ diameterPx: number; relU: number }> | null {
  const turn = eyeTurn(landmarks, head, iris[0], corners);
  if (Math.abs(turn) > MOST_TURN) return null;
  const at = (i: number): [number, number] => [landmarks[3 * i], landmarks[3 * i + 1]];
  const [x, y] = at(iris[0]);
  const [ax, ay] = at(iris[1]);
  const [bx, by] = at(iris[3]);
  const across = Math.hypot(ax - bx, ay - by) / ENGINE_OVERSTATES;
  const fit = fitLimbus(image, { xPx: x, yPx: y, radiusPx: across / 2 }, (head.rollDeg.value * Math.PI) / 180);
  const [diameter, relU] = fit.ok
    ? [2 * fit.value.radiusPx, Math.hypot(fit.value.uPx / fit.value.radiusPx, LIMBUS_REL_U)]
    : [across, ENGINE_REL_U];
  return { diameterPx: (diameter * depthRatio) / Math.cos(turn), relU: Math.hypot(relU, Math.tan(turn) * TURN_U) };
}

/** How far the eye looks aside of the camera, rad, from where the iris stands between its corners. */
function eyeTurn(landmarks: ArrayLike<number>, head: HeadFit, iris: number, corners: readonly [number, number]): number {
  const roll = (head.rollDeg.value * Math.PI) / 180;
  const dx = landmarks[3 * iris] - (landmarks[3 * corners[0]] + landmarks[3 * corners[1]]) / 2;
  const dy = landmarks[3 * iris + 1] - (landmarks[3 * corners[0] + 1] + landmarks[3 * corners[1] + 1]) / 2;
  const mmPerPx = eyeDepth(head.verticesMm, corners) / head.focalPx;
  const aside = (dx * Math.cos(roll) + dy * Math.sin(roll)) * mmPerPx;
  const behind = EYE_BEHIND_CORNERS_MM * Math.sin((head.yawDeg.value * Math.PI) / 180);
  return Math.asin(Math.max(-1, Math.min(1, (aside + behind) / IRIS_PLANE_MM)));
}
