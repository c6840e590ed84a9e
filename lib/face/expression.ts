/**
 * Expression in numbers: lids, mouth, brows, gaze.
 *
 * Frame   distances in the head (head-points.ts), so that pose drops out as far as the mesh's depth is right.
 * Error   each number is a ratio of distances; the uncertainty of the landmarks is carried through it.
 *         It is the uncertainty of repeating the photograph: the engine's own habit of reading an eye too wide is in
 *         both photographs of a pair.
 */
import { type Measured, type Ratio, ratio } from '#shared/units.ts';
import { BROW_LEFT, BROW_RIGHT, IRIS_LEFT, IRIS_RIGHT } from './features.ts';
import { apart, CORNERS_LEFT, CORNERS_RIGHT, type HeadPoints, headPoints } from './head-points.ts';
import type { Expression, HeadFit } from './types.ts';

/** Upper and lower lid above each other, three places between the corners. */
const LIDS_RIGHT = [
  [160, 144],
  [159, 145],
  [158, 153],
] as const;
const LIDS_LEFT = [
  [387, 373],
  [386, 374],
  [385, 380],
] as const;
const MOUTH_CORNERS = [61, 291] as const;
/** Middle of the inner border of the upper and of the lower lip. */
const LIPS_MIDDLE = [13, 14] as const;
/** Lower border of the upper lip and upper border of the lower lip beside the middle. */
const LIPS_GAPS = [
  [13, 14],
  [82, 87],
  [312, 317],
] as const;

export function expressionOf(landmarks: ArrayLike<number>, landmarkUPx: ArrayLike<number>, head: HeadFit): Expression {
  const points = headPoints(landmarks, landmarkUPx, head);
  const pupils = apart(points, IRIS_RIGHT[0], IRIS_LEFT[0]);
  const mouth = apart(points, ...MOUTH_CORNERS);
  return {
    eyeOpenLeft: openness(points, LIDS_LEFT, CORNERS_LEFT),
    eyeOpenRight: openness(points, LIDS_RIGHT, CORNERS_RIGHT),
    mouthOpen: openness(points, LIPS_GAPS, MOUTH_CORNERS),
    mouthWidth: over(mouth, uOf(points, MOUTH_CORNERS), pupils, uOf(points, [IRIS_RIGHT[0], IRIS_LEFT[0]])),
    smile: over(
      meanHeight(points, MOUTH_CORNERS) - meanHeight(points, LIPS_MIDDLE),
      uOf(points, [...MOUTH_CORNERS, ...LIPS_MIDDLE]) / 2,
      mouth,
      uOf(points, MOUTH_CORNERS),
    ),
    browHeight: over(
      meanHeight(points, [...BROW_RIGHT, ...BROW_LEFT]) - meanHeight(points, [IRIS_RIGHT[0], IRIS_LEFT[0]]),
      uOf(points, [IRIS_RIGHT[0], IRIS_LEFT[0]]) / 2,
      pupils,
      uOf(points, [IRIS_RIGHT[0], IRIS_LEFT[0]]),
    ),
    gaze: gazeOf(points),
  };
}

/** Mean gap over width. */
function openness(points: HeadPoints, gaps: readonly (readonly [number, number])[], corners: readonly [number, number]): Measured<Ratio> {
  let sum = 0;
  let variance = 0;
  for (const [up, down] of gaps) {
    sum += gap(points, up, down) / gaps.length;
    variance += (uOf(points, [up, down]) / gaps.length) ** 2;
  }
  return over(sum, Math.sqrt(variance), apart(points, ...corners), uOf(points, corners));
}

/** Seen from the front: the mesh's depth of two lids that meet is not the same, and is no gap. */
function gap({ mm }: HeadPoints, a: number, b: number): number {
  return Math.hypot(mm[3 * a] - mm[3 * b], mm[3 * a + 1] - mm[3 * b + 1]);
}

/** Iris centre from the middle between the corners, over the eye's width; mean of both eyes. */
function gazeOf(points: HeadPoints): readonly [Measured<Ratio>, Measured<Ratio>] {
  const { mm } = points;
  const eyes = [
    [IRIS_RIGHT[0], CORNERS_RIGHT],
    [IRIS_LEFT[0], CORNERS_LEFT],
  ] as const;
  const along = (axis: number, sign: number): Measured<Ratio> => {
    let sum = 0;
    let variance = 0;
    for (const [iris, corners] of eyes) {
      const width = apart(points, corners[0], corners[1]);
      const middle = (mm[3 * corners[0] + axis] + mm[3 * corners[1] + axis]) / 2;
      sum += (sign * (mm[3 * iris + axis] - middle)) / width / 2;
      variance += (Math.hypot(points.uMm[iris], uOf(points, corners) / 2) / width / 2) ** 2;
    }
    return { value: ratio(sum), u: ratio(Math.sqrt(variance)) };
  };
  // head x is image right; head y is up, and gaze counts down
  return [along(0, 1), along(1, -1)];
}

const meanHeight = ({ mm }: HeadPoints, indices: readonly number[]): number =>
  indices.reduce((sum, i) => sum + mm[3 * i + 1], 0) / indices.length;

/** Uncertainty of a sum or difference of one coordinate of each of these landmarks, mm. */
const uOf = ({ uMm }: HeadPoints, indices: readonly number[]): number => Math.sqrt(indices.reduce((sum, i) => sum + uMm[i] ** 2, 0));

function over(part: number, uPart: number, whole: number, uWhole: number): Measured<Ratio> {
  const value = part / whole;
  return { value: ratio(value), u: ratio(Math.hypot(uPart, value * uWhole) / whole) };
}
