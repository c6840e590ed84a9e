/**
 * Slightly shifted, scaled, turned and mirrored copies of one face, and the way back from each.
 *
 * Frame   pixels; x right, y down; the centre of the first pixel is (0.5, 0.5). A copy is a square with the face upright in
 *         the middle.
 * Model   The engine looks at 192 px of which the pupils are about 52 apart, so a copy needs no more than twice that. The
 *         photograph is halved until 55 to 110 px lie between the pupils; a copy then takes about one pixel per pixel,
 *         which neither aliases nor enlarges. Every influence stands at a low and a high level in a fractional factorial design of
 *         eight runs (generators D = AB, E = AC; Box, Hunter & Hunter, Statistics for Experimenters, 2nd ed. 2005, ch. 6):
 *         what is linear in shift, scale, turn or mirror drops out of the mean.
 */

import { halve, type Raster } from '#lib/photo/raster.ts';
import { srgb8FromLinear } from '#lib/photo/srgb8.ts';
import type { Srgb8Raster } from '#lib/photo/types.ts';
import { LEFT_IRIS, RIGHT_IRIS } from './landmark-refinement.ts';
import { mirroredLandmarks } from './mirror.ts';

/** Below this the model's own resolution would suffer; twice this is the most a copy gets. */
const LEAST_PUPIL_PX = 55;
/** Side of a copy in pupil distances: the face with as much around it as the detector likes. */
const SIDE = 4.4;
/** The middle of the face below the middle of the eyes, in pupil distances. */
const MIDDLE_BELOW_EYES = 0.35;
/** Half the step between the levels: pupil distances, pupil distances, natural log of scale, radians. */
const STEP = { x: 0.06, y: 0.06, scale: 0.05, turn: 0.05 };
const SIGNS = [-1, 1];

export type ShiftedCopy = Readonly<{
  picture: Srgb8Raster;
  /** (478, 3) px of the copy become (478, 3) px of the photograph; landmarks of a mirrored copy get their own names back. */
  back: (landmarks: Float64Array) => Float64Array;
}>;

/** Pupil distance of (478, 3) landmarks, px. */
export const pupilDistance = (landmarks: ArrayLike<number>): number =>
  Math.hypot(...([0, 1].map((k) => landmarks[3 * RIGHT_IRIS[0] + k] - landmarks[3 * LEFT_IRIS[0] + k]) as [number, number]));

/**
 * The eight copies. `photo` is linear light, three channels; `rough` are (478, 3) landmarks in its px, good to a few per cent
 * of the pupil distance.
 */
export function shiftedCopies(photo: Raster, rough: ArrayLike<number>): ShiftedCopy[] {
  let shrink = 1;
  let small = photo;
  const apart = pupilDistance(rough);
  while (apart / (2 * shrink) >= LEAST_PUPIL_PX) {
    small = halve(small);
    shrink *= 2;
  }
  const coded = srgb8FromLinear(small);
  const unit = apart / shrink;
  const at = (landmark: number, k: number): number => rough[3 * landmark + k] / shrink;
  const [left, right] = [LEFT_IRIS[0], RIGHT_IRIS[0]];
  const roll = Math.atan2(at(right, 1) - at(left, 1), at(right, 0) - at(left, 0));
  const cx = (at(left, 0) + at(right, 0)) / 2 - MIDDLE_BELOW_EYES * unit * Math.sin(roll);
  const cy = (at(left, 1) + at(right, 1)) / 2 + MIDDLE_BELOW_EYES * unit * Math.cos(roll);

  return SIGNS.flatMap((a) =>
    SIGNS.flatMap((b) =>
      SIGNS.map((c) => {
        const scale = Math.exp(c * STEP.scale);
        const turn = roll + a * b * STEP.turn;
        return oneCopy(coded, shrink, {
          x: cx + a * STEP.x * unit,
          y: cy + b * STEP.y * unit,
          cos: scale * Math.cos(turn),
          sin: scale * Math.sin(turn),
          side: Math.round(SIDE * unit),
          mirrored: a * c > 0,
        });
      }),
    ),
  );
}

type Placement = Readonly<{ x: number; y: number; cos: number; sin: number; side: number; mirrored: boolean }>;

function oneCopy(coded: Srgb8Raster, shrink: number, p: Placement): ShiftedCopy {
  return {
    picture: { encoding: 'srgb8', width: p.side, height: p.side, data: drawn(coded, p) },
    back: (landmarks) => {
      const names = p.mirrored ? mirroredLandmarks() : null;
      const out = new Float64Array(landmarks.length);
      for (let i = 0; i < landmarks.length / 3; i++) {
        const from = 3 * (names ? names[i] : i);
        const u = (landmarks[from] - p.side / 2) * (names ? -1 : 1);
        const v = landmarks[from + 1] - p.side / 2;
        out[3 * i] = shrink * (p.x + p.cos * u - p.sin * v);
        out[3 * i + 1] = shrink * (p.y + p.sin * u + p.cos * v);
        out[3 * i + 2] = shrink * Math.hypot(p.cos, p.sin) * landmarks[from + 2];
      }
      return out;
    },
  };
}

/** Bilinear, whole picture in one loop: this runs for every copy. Outside, the edge goes on. */
function drawn(from: Srgb8Raster, p: Placement): Uint8Array {
  const { width, height, data } = from;
  const out = new Uint8Array(3 * p.side * p.side);
  let o = 0;
  for (let row = 0; row < p.side; row++) {
    const v = row + 0.5 - p.side / 2;
    for (let column = 0; column < p.side; column++) {
      const u = p.mirrored ? p.side / 2 - column - 0.5 : column + 0.5 - p.side / 2;
      const x = Math.min(width - 1, Math.max(0, p.x + p.cos * u - p.sin * v - 0.5));
      const y = Math.min(height - 1, Math.max(0, p.y + p.sin * u + p.cos * v - 0.5));
      const x0 = Math.floor(x),
        y0 = Math.floor(y);
      const fx = x - x0,
        fy = y - y0;
      const i = 3 * (y0 * width + x0);
      const right = x0 + 1 < width ? 3 : 0;
      const below = y0 + 1 < height ? 3 * width : 0;
      const w11 = fx * fy,
        w10 = fx - w11,
        w01 = fy - w11,
        w00 = 1 - fx - w01;
      for (let k = 0; k < 3; k++)
        out[o++] = w00 * data[i + k] + w10 * data[i + right + k] + w01 * data[i + below + k] + w11 * data[i + right + below + k] + 0.5;
    }
  }
  return out;
}
