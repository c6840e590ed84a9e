/**
 * The similarity transform that best lays one set of points on another, in the plane.
 *
 * Frame   pixels; x right, y down; the centre of the first pixel is (0.5, 0.5).
 * Model   q = scale * R(angle) * p + shift + noise, the same noise on every coordinate. No reflection.
 * Source  Umeyama, IEEE TPAMI 13(4):376-380, 1991, doi:10.1109/34.88573; in two dimensions, and without
 *         reflection, it has the closed form below.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { type Measured, type Px, px, type Rad, type Ratio, rad, ratio } from '#shared/units.ts';

/** n points, flat: [x0, y0, x1, y1, ...]; length 2n; read-only. */
export type Points = ArrayLike<number>;

export type Similarity = Readonly<{
  scale: Measured<Ratio>;
  /** Positive turns x towards y: clockwise on screen. */
  angle: Measured<Rad>;
  shift: readonly [Px, Px];
  /** Noise left in one coordinate, from 2n - 4 degrees of freedom. */
  residual: Px;
}>;

/** Three pairs is the fewest that leaves anything over to judge the fit by. */
const FEWEST_PAIRS = 3;

/** Least squares over all pairs alike. Throws a RangeError when the two sets cannot be paired. */
export function fitSimilarity(from: Points, onto: Points): Outcome<Similarity, 'too-few' | 'degenerate'> {
  if (from.length !== onto.length || from.length % 2 !== 0)
    throw new RangeError(`points must pair up, got lengths ${from.length} and ${onto.length}`);

  const n = from.length / 2;
  if (n < FEWEST_PAIRS) return refused('too-few', `The alignment has ${n} pairs of points and needs at least ${FEWEST_PAIRS}.`);

  const [px0, py0] = centroid(from);
  const [qx0, qy0] = centroid(onto);

  let along = 0; // sum of p . q
  let across = 0; // sum of p x q
  let spreadFrom = 0; // sum of |p|^2
  let spreadOnto = 0; // sum of |q|^2
  for (let i = 0; i < 2 * n; i += 2) {
    const x = from[i] - px0;
    const y = from[i + 1] - py0;
    const X = onto[i] - qx0;
    const Y = onto[i + 1] - qy0;
    along += x * X + y * Y;
    across += x * Y - y * X;
    spreadFrom += x * x + y * y;
    spreadOnto += X * X + Y * Y;
  }
  const length = Math.hypot(along, across);
  if (spreadFrom === 0 || length === 0) return refused('degenerate', 'The points have no extent, or no turn brings the two sets together.');

  const s = length / spreadFrom;
  const a = Math.atan2(across, along);
  const left = Math.max(0, spreadOnto - length * s); // rounding can dip below zero
  const noise = Math.sqrt(left / (2 * n - 4));
  const u = noise / Math.sqrt(spreadFrom);

  return found({
    scale: { value: ratio(s), u: ratio(u) },
    angle: { value: rad(a), u: rad(u / s) },
    shift: [px(qx0 - s * (Math.cos(a) * px0 - Math.sin(a) * py0)), px(qy0 - s * (Math.sin(a) * px0 + Math.cos(a) * py0))],
    residual: px(noise),
  });
}

/** The points carried through the transform; a new array of the same length. */
export function applySimilarity(similarity: Similarity, points: Points): Float64Array {
  const c = similarity.scale.value * Math.cos(similarity.angle.value);
  const s = similarity.scale.value * Math.sin(similarity.angle.value);
  const out = new Float64Array(points.length);
  for (let i = 0; i < points.length; i += 2) {
    out[i] = c * points[i] - s * points[i + 1] + similarity.shift[0];
    out[i + 1] = s * points[i] + c * points[i + 1] + similarity.shift[1];
  }
  return out;
}

function centroid(points: Points): [number, number] {
  let x = 0;
  let y = 0;
  for (let i = 0; i < points.length; i += 2) {
    x += points[i];
    y += points[i + 1];
  }
  return [(2 * x) / points.length, (2 * y) / points.length];
}
