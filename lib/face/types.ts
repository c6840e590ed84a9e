/**
 * What is known of one face in one photograph.
 *
 * Frames   image: px of the LinearPhoto; x right, y down; first pixel centre (0.5, 0.5).
 *          camera: mm; x right, y down, z forward, away from the camera (a visible face has z > 0).
 *          head: mm; x to the subject's left (image right), y up, z out of the face towards the camera;
 *                the canonical mesh lives here.
 * Angles   degrees. Yaw positive: the subject turns to the subject's left (image right). Pitch positive: chin up.
 *          Roll positive: the head turns clockwise on screen. Yaw, pitch and roll are those against the line of sight to the
 *          head, which is what the photograph shows; `rotation` is against the camera's axis.
 */

import type { LinearPhoto } from '#lib/photo/types.ts';
import type { Check, View } from '#shared/comparison.ts';
import type { Deg, Measured, Mm, Ratio } from '#shared/units.ts';

export const LANDMARK_COUNT = 478;
/** The first 468 landmarks are the vertices of the canonical mesh; the rest are the irises. */
export const MESH_VERTEX_COUNT = 468;

export type HeadFit = Readonly<{
  yawDeg: Measured<Deg>;
  pitchDeg: Measured<Deg>;
  rollDeg: Measured<Deg>;
  /** Row-major 3x3, head to camera: camera = R * head + t. */
  rotation: Float64Array;
  /** mm */
  translationMm: Float64Array;
  /** px; the focal length used for projection: x = cx + f * X / Z. */
  focalPx: number;
  principalPx: readonly [number, number];
  /** Camera-to-face distance over face size as seen from perspective alone: reciprocal metres, 0 is infinitely far. */
  nearnessPerM: Measured;
  /**
   * (468, 3) mm, camera frame: the canonical mesh fitted to this face, so that its projection passes through the
   * averaged landmarks and its depth is the canonical one adapted smoothly. Sized by the face's scale, so that these are true mm.
   */
  verticesMm: Float64Array;
  /** Root mean square of landmarks against the rigid projection of the canonical mesh, px. */
  residualPx: number;
}>;

export type Scale = Readonly<{
  /** At the depth of the pupils. */
  mmPerPx: number;
  source: 'iris' | 'interpupillary' | 'marker';
  /** Relative standard uncertainty. */
  relU: number;
}>;

/** What the user knows of the scale, if anything. */
export type ScaleHint =
  | Readonly<{ kind: 'iris' }>
  | Readonly<{ kind: 'interpupillary'; distanceMm: Mm }>
  | Readonly<{ kind: 'marker'; sideMm: Mm }>;

export type Expression = Readonly<{
  /** Lid gap over eye width; about 0.3 open, under 0.1 shut. Subject's left and right. */
  eyeOpenLeft: Measured<Ratio>;
  eyeOpenRight: Measured<Ratio>;
  /** Inner lip gap over mouth width. */
  mouthOpen: Measured<Ratio>;
  /** Mouth width over pupil distance. */
  mouthWidth: Measured<Ratio>;
  /** Height of the mouth corners above the middle of the lips over mouth width; larger when smiling. */
  smile: Measured<Ratio>;
  /** Brow height above the pupils over pupil distance. */
  browHeight: Measured<Ratio>;
  /** Iris centre from the middle of the eye, over eye width; x to image right, y down; mean of both eyes. */
  gaze: readonly [Measured<Ratio>, Measured<Ratio>];
}>;

export type Quality = Readonly<{
  interpupillaryPx: number;
  /** Working px per mm beneath which nothing finer was in the file: 1 is as sharp as the working scale can carry. */
  sharpness: number;
  /** Share of the face's pixels at the top or the bottom of the range. */
  clippedHigh: number;
  clippedLow: number;
  /** Standard deviation of camera noise over the face's mean brightness, linear light. */
  noise: number;
  /** True when all three channels carry the same picture. */
  greyscale: boolean;
}>;

export type Face = Readonly<{
  photo: LinearPhoto;
  /** (478, 3): x, y in px of `photo`; z in px, smaller is nearer, only its shape is meaningful. Mean over shifted copies. */
  landmarks: Float64Array;
  /** (478): standard uncertainty of one coordinate of the mean, px. */
  landmarkUPx: Float64Array;
  view: View;
  head: HeadFit;
  scale: Scale;
  expression: Expression;
  quality: Quality;
  /** The gate for this photograph alone. */
  checks: readonly Check[];
}>;

export const FACE_FAULTS = ['no-face', 'several-faces', 'face-too-small', 'face-cut-off', 'marker-not-found'] as const;
export type FaceFault = (typeof FACE_FAULTS)[number];
// sightFace(photo: OpenPhoto, hint: ScaleHint): Promise<Outcome<Face, FaceFault | PhotoFault>> is in sight.ts
// judgePair(before: Face, after: Face): readonly Check[] is in gate.ts
