/**
 * Finds the one face of a photograph and learns all that is known of it.
 *
 * Steps   a glance at the whole picture tells where the face is and how large; a crop around it is developed at the working
 *         scale; landmarks are averaged on that; pose, scale, expression and quality follow.
 * Frame   px of the developed crop, see LinearPhoto.placement for its place in the file.
 */

import type { Crop, LinearPhoto, OpenPhoto, PhotoFault, Srgb8Raster } from '#lib/photo/types.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { cameraGuess } from './camera-guess.ts';
import { type DetectedFace, openEngine } from './engine.ts';
import { expressionOf } from './expression.ts';
import { FACE_OVAL } from './features.ts';
import { checkFace } from './gate.ts';
import { fitHead, resizedHead } from './head.ts';
import { averagedLandmarks } from './landmarks.ts';
import { findMarker } from './marker.ts';
import { pupilDistance } from './pupil-distance.ts';
import { qualityOf } from './quality.ts';
import { pupilDepthMm, scaleFromFace, scaleFromMarker, scaleFromPupils } from './scale.ts';
import { type Face, type FaceFault, type HeadFit, LANDMARK_COUNT, MESH_VERTEX_COUNT, type Scale, type ScaleHint } from './types.ts';
import { viewOf } from './view.ts';

/** The detector looks at a small copy anyway; more pixels change nothing but the time. */
const GLANCE_PX = 720;
/** The marker is smaller than the face and needs its corners. */
const MARKER_GLANCE_PX = 2000;
/** Working scale: pores and fine lines are 0.3 mm and more, so 0.2 mm per px carries all that is measured. */
const WORKING_PX_PER_MM = 5;
/** Pupil distance of the canonical head: in a turned face the whole head says how far apart the pupils would be. */
const PUPILS_MM = 63;
/** Below this a zone of 1 square cm has under 200 px and the lid-cheek junction a handful of rows. */
export const FEWEST_PUPIL_PX = 88;
/** A second face this much smaller than the first is a passer-by or a picture on the wall. */
const BYSTANDER = 1 / 3;
/** Margins around the box of the mesh, in its own size: ears and outline, hairline, below the chin. */
const MARGIN = { side: 0.4, above: 0.5, below: 0.35 };
/** A landmark this far outside the picture, in pupil distances, was guessed, not seen; this many such, and the face is cut off. */
const OUTSIDE_BY = 0.05;
const OUTSIDE_MOST = 3;

export async function sightFace(photo: OpenPhoto, hint: ScaleHint): Promise<Outcome<Face, FaceFault | PhotoFault>> {
  const glance = await photo.glance(GLANCE_PX);
  if (!glance.ok) return glance;
  const engine = await openEngine();
  const face = onlyFace(engine.detect(glance.value));
  if (!face.ok) return face;
  const rough = scaled(face.value.landmarks, photo.width / glance.value.width, photo.height / glance.value.height);

  const size = pxPerMmOf(rough, photo);
  const pupilsPx = Math.max(size * PUPILS_MM, pupilDistance(rough));
  if (pupilsPx < FEWEST_PUPIL_PX)
    return refused(
      'face-too-small',
      `The face is too small in the picture: about ${pupilsPx.toFixed(0)} px between the pupils, at least ${FEWEST_PUPIL_PX} are needed and 250 are good. Use the original file from the camera rather than a reduced copy, or photograph nearer so that the face fills two thirds of the height.`,
    );
  if (outside(rough, photo, pupilsPx) > OUTSIDE_MOST)
    return refused(
      'face-cut-off',
      'Part of the face lies outside the picture. Use a photograph that shows the whole face from the hairline to below the chin.',
    );

  const scale = Math.min(1, WORKING_PX_PER_MM / size);
  const developed = await photo.develop(cropAround(rough), scale);
  if (!developed.ok) return developed;
  const working = developed.value;
  const averaged = averagedLandmarks(engine, working, intoWorking(rough, working));
  if (!averaged.ok) return averaged;
  const { landmarks, uPx } = averaged.value;

  const fitted = fitHead(landmarks, uPx, cameraGuess(working));
  const measured = await scaleOf(photo, working, landmarks, uPx, fitted, hint);
  if (!measured.ok) return measured;
  const head = resizedHead(fitted, (measured.value.mmPerPx * fitted.focalPx) / pupilDepthMm(fitted));
  const known: Omit<Face, 'checks'> = {
    photo: working,
    landmarks,
    landmarkUPx: uPx,
    view: viewOf(head.yawDeg.value),
    head,
    scale: measured.value,
    expression: expressionOf(landmarks, uPx, head),
    quality: qualityOf(working, landmarks),
  };
  return found({ ...known, checks: checkFace(known) });
}

/** The engine gives faces largest first. */
function onlyFace(faces: readonly DetectedFace[]): Outcome<DetectedFace, 'no-face' | 'several-faces'> {
  if (faces.length === 0)
    return refused(
      'no-face',
      'No face was found in the picture. Use an upright photograph of one face, evenly lit, with both eyes, nose and mouth in view; profiles cannot be read.',
    );
  const [first, ...others] = faces.map(({ landmarks }) => boxOf(landmarks));
  const rivals = others.filter((box) => box.size > BYSTANDER * first.size && Math.hypot(box.x - first.x, box.y - first.y) > first.size / 2);
  if (rivals.length > 0)
    return refused(
      'several-faces',
      `${rivals.length + 1} faces were found in the picture, and which one is meant cannot be told. Crop the photograph to one face.`,
    );
  return found(faces[0]);
}

type Box = Readonly<{ x: number; y: number; left: number; right: number; top: number; bottom: number; size: number }>;

function boxOf(landmarks: ArrayLike<number>): Box {
  let [left, right, top, bottom] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let i = 0; i < MESH_VERTEX_COUNT; i++) {
    left = Math.min(left, landmarks[3 * i]);
    right = Math.max(right, landmarks[3 * i]);
    top = Math.min(top, landmarks[3 * i + 1]);
    bottom = Math.max(bottom, landmarks[3 * i + 1]);
  }
  return { x: (left + right) / 2, y: (top + bottom) / 2, left, right, top, bottom, size: (right - left + bottom - top) / 2 };
}

/** Landmarks of the glance in px of the original. */
function scaled(landmarks: ArrayLike<number>, sx: number, sy: number): Float64Array {
  return Float64Array.from(landmarks, (v, at) => v * (at % 3 === 1 ? sy : sx));
}

/** The size of the head in the original, px per mm of the canonical head. */
function pxPerMmOf(rough: Float64Array, { width, height }: OpenPhoto): number {
  const head = fitHead(rough, new Float64Array(LANDMARK_COUNT).fill(1), { principalPx: [width / 2, height / 2], focal: null });
  return head.focalPx / head.translationMm[2];
}

function outside(rough: Float64Array, { width, height }: OpenPhoto, pupilsPx: number): number {
  const by = OUTSIDE_BY * pupilsPx;
  return FACE_OVAL.filter(
    (i) => rough[3 * i] < -by || rough[3 * i + 1] < -by || rough[3 * i] > width + by || rough[3 * i + 1] > height + by,
  ).length;
}

function cropAround(rough: Float64Array): Crop {
  const { left, right, top, bottom } = boxOf(rough);
  const [w, h] = [right - left, bottom - top];
  return {
    x: left - MARGIN.side * w,
    y: top - MARGIN.above * h,
    width: w * (1 + 2 * MARGIN.side),
    height: h * (1 + MARGIN.above + MARGIN.below),
  };
}

function intoWorking(rough: Float64Array, { placement: { scale, offsetX, offsetY } }: LinearPhoto): Float64Array {
  return rough.map((v, at) => v * scale - (at % 3 === 0 ? offsetX : at % 3 === 1 ? offsetY : 0));
}

async function scaleOf(
  photo: OpenPhoto,
  working: LinearPhoto,
  landmarks: Float64Array,
  uPx: Float64Array,
  head: HeadFit,
  hint: ScaleHint,
): Promise<Outcome<Scale, FaceFault | PhotoFault>> {
  if (hint.kind === 'marker') {
    const whole: Outcome<Srgb8Raster, PhotoFault> = await photo.glance(MARKER_GLANCE_PX);
    if (!whole.ok) return whole;
    const marker = await findMarker(whole.value);
    if (!marker.ok) return marker;
    const workingPerGlance = (photo.width / whole.value.width) * working.placement.scale;
    return found(scaleFromMarker({ ...marker.value, sidePx: marker.value.sidePx * workingPerGlance }, hint.sideMm, head));
  }
  const told = hint.kind === 'interpupillary' ? scaleFromPupils(landmarks, uPx, head, hint.distanceMm) : null;
  return found(told ?? scaleFromFace(working, landmarks, head));
}
