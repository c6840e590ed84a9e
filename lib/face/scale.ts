/**
 * Millimetres per pixel at the depth of the pupils, from the best that is known.
 *
 * Model   iris: iris-scale.ts. Pupil distance: the user's figure over the distance of the pupils in the picture, undone
 *         for the head's turn. Marker: its known side over its side in the picture; it is held in the plane of the
 *         cheeks, and how far that may be from the pupils is part of its uncertainty.
 */
import { channelOf, rasterOf } from '#lib/photo/raster.ts';
import type { LinearPhoto } from '#lib/photo/types.ts';
import { IRIS_LEFT, IRIS_RIGHT } from './features.ts';
import { irisScale } from './iris-scale.ts';
import type { MarkerSide } from './marker.ts';
import { pupilDistance } from './pupil-distance.ts';
import type { HeadFit, Scale } from './types.ts';

/** A pupil distance is read off a ruler to half a millimetre; eyes that turn in to a near camera take as much off again. */
const RULER_U_MM = 0.5;
const CONVERGENCE_U_MM = 0.5;
/** A turned head shows its pupil distance shortened; beyond half of it the shortening is known worse than the iris. */
const LEAST_SHOWN = 0.5;
/** A marker beside the cheek is nearer or farther than the pupils by about this, mm. */
const MARKER_DEPTH_U_MM = 15;
/** True mm of a person per mm of the canonical head, and its spread: 22 portraits by their irises gave 0.90, sd 0.04; the iris's own error is added. */
const HEAD_MM_PER_FITTED_MM = 0.9;
const HEAD_REL_U = 0.07;

/** From the iris; in a turned view, where none can be measured, from the size of an average adult's head, which `relU` says. */
export function scaleFromFace(photo: Pick<LinearPhoto, 'width' | 'height' | 'data'>, landmarks: ArrayLike<number>, head: HeadFit): Scale {
  const iris = irisScale(channelOf(rasterOf(photo), 0), landmarks, head);
  if (iris.ok) return { mmPerPx: iris.value.mmPerPx, source: 'iris', relU: iris.value.relU };
  return { mmPerPx: (HEAD_MM_PER_FITTED_MM * pupilDepthMm(head)) / head.focalPx, source: 'iris', relU: HEAD_REL_U };
}

/** From the user's pupil distance, or null when the head is turned too far for it to show. */
export function scaleFromPupils(
  landmarks: ArrayLike<number>,
  landmarkUPx: ArrayLike<number>,
  head: HeadFit,
  distanceMm: number,
): Scale | null {
  const [a, b] = [IRIS_RIGHT[0], IRIS_LEFT[0]];
  const px = pupilDistance(landmarks);
  const yaw = (head.yawDeg.value * Math.PI) / 180;
  // The line of the pupils is the head's x axis; this is its share in the picture plane.
  const shown = Math.hypot(Math.cos(yaw), Math.sin(yaw) * Math.sin((head.pitchDeg.value * Math.PI) / 180));
  if (shown < LEAST_SHOWN) return null;
  const turned = Math.tan(Math.abs(yaw)) * ((head.yawDeg.u * Math.PI) / 180);
  const relU = Math.hypot(Math.hypot(landmarkUPx[a], landmarkUPx[b]) / px, RULER_U_MM / distanceMm, CONVERGENCE_U_MM / distanceMm, turned);
  return { mmPerPx: (distanceMm * shown) / px, source: 'interpupillary', relU };
}

/** From a marker whose side is measured in px of the same photograph. */
export function scaleFromMarker(marker: MarkerSide, sideMm: number, head: HeadFit): Scale {
  const depth = (MARKER_DEPTH_U_MM / 1000) * head.nearnessPerM.value;
  return { mmPerPx: sideMm / marker.sidePx, source: 'marker', relU: Math.hypot(marker.relU, depth) };
}

/** Distance of the pupils from the camera, mm of the fitted head: the mean of the eyes' corners. */
export function pupilDepthMm({ verticesMm }: Pick<HeadFit, 'verticesMm'>): number {
  return [33, 133, 263, 362].reduce((sum, i) => sum + verticesMm[3 * i + 2] / 4, 0);
}
