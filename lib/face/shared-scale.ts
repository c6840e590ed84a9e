/**
 * One person has one size: photographs whose own scale is poor take it over from the best one.
 *
 * Model   the head that the best photograph gives, in its millimetres, is fitted to the landmarks of the other; how large it shows there
 *         is the other's scale. Turned views, in which no iris can be measured, gain most.
 */

import { resizedHead } from './head.ts';
import { fitShape } from './pair-geometry.ts';
import type { Face } from './types.ts';
import { viewOf } from './view.ts';

/** What the transfer itself adds, relative: between alike views, and between views (six rendered heads, frontal to 25, 35 and 45 degrees). */
const TRANSFER_U = 0.015;
const TRANSFER_U_ACROSS_VIEWS = 0.035;

/** All faces must be of one person. Returns them in order; a face whose own scale is as good keeps it. */
export function withSharedScale(faces: readonly Face[]): Face[] {
  if (faces.length === 0) return [];
  const best = faces.reduce((a, b) => (b.scale.relU < a.scale.relU ? b : a));
  return faces.map((face) => {
    if (face === best) return face;
    const relU = Math.hypot(
      best.scale.relU,
      viewOf(face.head.yawDeg.value) === viewOf(best.head.yawDeg.value) ? TRANSFER_U : TRANSFER_U_ACROSS_VIEWS,
    );
    return relU < face.scale.relU ? rescaled(face, best, relU) : face;
  });
}

function rescaled(face: Face, like: Face, relU: number): Face {
  const pxPerMm = face.head.focalPx / face.head.translationMm[2];
  const factor = pxPerMm / fitShape(like, face).pxPerMm;
  return {
    ...face,
    head: resizedHead(face.head, factor),
    scale: { mmPerPx: face.scale.mmPerPx * factor, source: like.scale.source, relU },
  };
}
