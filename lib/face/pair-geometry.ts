/**
 * Two faces against each other as solid bodies: is it one person, and how do perspective and size differ?
 *
 * Model   The shape that one photograph gives, in its own head frame, is fitted to the landmarks of the other with pose, size and
 *         perspective free, on the stable landmarks. A person's own shape is in both and drops out. Done both ways
 *         and averaged, so that the order does not matter.
 */
import { cameraGuess } from './camera-guess.ts';
import { fitPose, type PoseFit } from './pose-fit.ts';
import { pupilDistance } from './pupil-distance.ts';
import { STABLE_LANDMARKS } from './stable-landmarks.ts';
import type { Face } from './types.ts';

export type PairGeometry = Readonly<{
  /** Root mean square of one coordinate that rigid motion leaves, over the pupil distance. */
  misfit: number;
  /** After less before, on the dull scale of nearness.ts, per metre. */
  readingDifferencePerM: number;
  /** Size of the head in the after file over that in the before file, px of the files. */
  sizeRatio: number;
}>;

type Sighted = Omit<Face, 'checks'>;

/** How freely the perspective of the second picture may differ, per mm. */
const PERSPECTIVE_FREEDOM = 0.003;

export function pairGeometry(before: Sighted, after: Sighted): PairGeometry {
  const onto = fitShape(before, after);
  const back = fitShape(after, before);
  const difference = (onto.nearnessPerMm - perMm(before) - (back.nearnessPerMm - perMm(after))) / 2;
  const grown = (fit: PoseFit, from: Sighted, to: Sighted): number =>
    fit.pxPerMm / to.photo.placement.scale / (pxPerMmOf(from) / from.photo.placement.scale);
  return {
    misfit: Math.hypot(onto.residualPx / pupilDistance(after.landmarks), back.residualPx / pupilDistance(before.landmarks)) / Math.SQRT2,
    readingDifferencePerM: 1000 * difference,
    sizeRatio: Math.sqrt(grown(onto, before, after) / grown(back, after, before)),
  };
}

/** The shape of one face fitted to the landmarks of another, in the millimetres of the first. */
export function fitShape(from: Sighted, to: Sighted): PoseFit {
  const { rotation: r, translationMm: t, verticesMm: v } = from.head;
  const shape = new Float64Array(3 * STABLE_LANDMARKS.length);
  const picture = new Float64Array(2 * STABLE_LANDMARKS.length);
  STABLE_LANDMARKS.forEach((i, k) => {
    const [x, y, z] = [v[3 * i] - t[0], v[3 * i + 1] - t[1], v[3 * i + 2] - t[2]];
    for (let c = 0; c < 3; c++) shape[3 * k + c] = r[c] * x + r[3 + c] * y + r[6 + c] * z;
    picture[2 * k] = to.landmarks[3 * i];
    picture[2 * k + 1] = to.landmarks[3 * i + 1];
  });
  const weight = new Float64Array(STABLE_LANDMARKS.length).fill(1);
  return fitPose({
    shape,
    picture,
    weight,
    principalPx: cameraGuess(to.photo).principalPx,
    nearness: { value: perMm(from), u: PERSPECTIVE_FREEDOM },
  });
}

const perMm = (face: Sighted): number => face.head.nearnessPerM.value / 1000;
const pxPerMmOf = ({ head }: Sighted): number => head.focalPx / head.translationMm[2];
