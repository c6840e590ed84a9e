/**
 * Landmarks averaged over eight slightly shifted copies of the face, with the uncertainty of each.
 *
 * Frame   (478, 3): x, y in px of the photograph; x right, y down; the centre of the first pixel is (0.5, 0.5); z in px.
 * Model   One call answers y = truth + bias + wander. The mean of the copies keeps the bias, which two photographs of one face
 *         in one pose share, and divides the wander. The uncertainty is that of the wander. Measured on seven faces drawn
 *         anew with other framing, exposure, colour, focus and noise: one call scatters by 0.3 to 0.6 % of the pupil
 *         distance, the mean by 0.06 to 0.18 %; the stated uncertainty is 1.1 to 2 times what is seen.
 */

import { type Raster, rasterOf } from '#lib/photo/raster.ts';
import type { LinearPhoto } from '#lib/photo/types.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import type { FaceEngine } from './landmark-engine.ts';
import { pupilDistance, shiftedCopies } from './shifted-copies.ts';
import { LANDMARK_COUNT } from './types.ts';

export type AveragedLandmarks = Readonly<{
  /** (478, 3) px of the photograph. */
  landmarks: Float64Array;
  /** (478): standard uncertainty of one coordinate (x or y), px; of repeating the photograph, not of the anatomical truth. */
  uPx: Float64Array;
  /** How many of the eight copies showed the face. */
  copies: number;
}>;

const COPIES = 8;
const OWN_FREEDOM = 4;
const POOLED_FREEDOM = 8;
/** What another photograph of the same face adds that no copy of this one can show, in pupil distances. */
const REPHOTOGRAPHED = 0.001;
/** Fewer copies than this say that the face is barely recognised. */
const FEWEST_COPIES = 6;
/** A face in a copy whose middle lies further from the middle than this part of the side is another face. */
const FARTHEST = 0.25;

/**
 * @param photo linear light
 * @param rough (478, 3) landmarks of the face in px of `photo`, from one call on a smaller picture
 */
export function averagedLandmarks(
  engine: FaceEngine,
  photo: Pick<LinearPhoto, 'width' | 'height' | 'data'>,
  rough: ArrayLike<number>,
): Outcome<AveragedLandmarks, 'no-face'> {
  if (rough.length !== 3 * LANDMARK_COUNT) throw new RangeError(`rough landmarks need ${3 * LANDMARK_COUNT} numbers, got ${rough.length}`);
  const seen = lookedAt(engine, rasterOf(photo), rough);
  if (seen.length < FEWEST_COPIES)
    return refused(
      'no-face',
      `The face was recognised in only ${seen.length} of 8 shifted copies of the photograph; use one that shows the whole face, sharp and evenly lit.`,
    );

  const landmarks = new Float64Array(3 * LANDMARK_COUNT);
  for (const s of seen) for (let i = 0; i < landmarks.length; i++) landmarks[i] += s[i] / seen.length;
  return found({ landmarks, uPx: uncertainties(seen, REPHOTOGRAPHED * pupilDistance(landmarks)), copies: seen.length });
}

function lookedAt(engine: FaceEngine, photo: Raster, rough: ArrayLike<number>): Float64Array[] {
  return shiftedCopies(photo, rough).flatMap((copy) => {
    const side = copy.picture.width;
    const faces = engine.detect(copy.picture).filter((face) => offCentre(face.landmarks, side) < FARTHEST * side);
    return faces.length > 0 ? [copy.back(faces[0].landmarks)] : [];
  });
}

/** Distance of the landmarks' mean from the middle of a square picture, px. */
function offCentre(landmarks: Float64Array, side: number): number {
  let x = 0,
    y = 0;
  for (let i = 0; i < landmarks.length; i += 3) {
    x += landmarks[i];
    y += landmarks[i + 1];
  }
  return Math.hypot(x / LANDMARK_COUNT - side / 2, y / LANDMARK_COUNT - side / 2);
}

/**
 * The eight runs leave two contrasts that no level was set by, BC and ABC: their squares are the wander of one call. Two
 * contrasts in x and two in y say little of one landmark alone, so each is pulled towards the mean of all (as if that were
 * worth POOLED_FREEDOM contrasts). When a copy is missing the contrasts are gone, and the whole scatter is taken, which is more.
 */
function uncertainties(seen: readonly Float64Array[], floorPx: number): Float64Array {
  const variance = seen.length === COPIES ? contrastVariance(seen) : wholeVariance(seen);
  let pooled = 0;
  for (const v of variance) pooled += v / LANDMARK_COUNT;
  return variance.map((v) =>
    Math.sqrt((OWN_FREEDOM * v + POOLED_FREEDOM * pooled) / (OWN_FREEDOM + POOLED_FREEDOM) / seen.length + floorPx * floorPx),
  );
}

/** (478): variance of one coordinate in one call, px^2. */
function contrastVariance(seen: readonly Float64Array[]): Float64Array {
  return perLandmark((k) => {
    let bc = 0,
      abc = 0;
    seen.forEach((s, run) => {
      const sign = ((run >> 1) ^ run) & 1 ? -1 : 1;
      bc += sign * s[k];
      abc += (run & 4 ? sign : -sign) * s[k];
    });
    return (bc * bc + abc * abc) / (2 * COPIES);
  });
}

function wholeVariance(seen: readonly Float64Array[]): Float64Array {
  return perLandmark((k) => {
    let mean = 0,
      sum = 0;
    for (const s of seen) mean += s[k] / seen.length;
    for (const s of seen) sum += (s[k] - mean) ** 2;
    return sum / (seen.length - 1);
  });
}

/** Mean over x and y of a variance of each coordinate. */
const perLandmark = (variance: (coordinate: number) => number): Float64Array =>
  Float64Array.from({ length: LANDMARK_COUNT }, (_, i) => (variance(3 * i) + variance(3 * i + 1)) / 2);
