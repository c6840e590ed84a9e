/**
 * The pose and perspective of a known shape from where its points lie in a picture.
 *
 * Frames  shape: head frame, mm. Picture: px; x right, y down. Camera: mm; x right, y down, z away.
 * Model   x = cx + (s X + a) / (1 + k Z), y likewise, where (X, Y, Z) = R * shape. s is px per mm at the head's origin, (a, b)
 *         the origin's place relative to the principal point, k the nearness (1 / distance, per mm). This is the pinhole
 *         camera with focal length s / k and translation (a / s, b / s, 1 / k), written so that k = 0, infinitely far, is
 *         an ordinary value: from one picture the distance is the weakest of the seven numbers and needs a prior.
 * Fit     Gauss-Newton on weighted residuals with Tukey's biweight, from a start by an affine camera.
 * Source  affine start: DeMenthon & Davis, Int. J. Computer Vision 15:123-141, 1995, doi:10.1007/BF01450852.
 *         Biweight constant 4.685 (95 % efficiency for normal noise): Holland & Welsch, Comm. Stat. A6:813-827, 1977.
 */
import { multiply3, rotationFromVector } from '#lib/geometry/rotation.ts';
import { median, NORMAL_FROM_MAD } from '#lib/stats/quantile.ts';
import { inverseSpd, solveSpd } from '#lib/stats/solve-spd.ts';

export type PoseProblem = Readonly<{
  /** (n, 3) mm, head frame. */
  shape: ArrayLike<number>;
  /** (n, 2) px. */
  picture: ArrayLike<number>;
  /** (n) relative weight of each point, 0 leaves it out. */
  weight: ArrayLike<number>;
  principalPx: readonly [number, number];
  /** What is known of the nearness before looking, per mm. */
  nearness: Readonly<{ value: number; u: number }>;
}>;

export type PoseFit = Readonly<{
  /** Row-major, head to camera. */
  rotation: Float64Array;
  pxPerMm: number;
  /** The head's origin relative to the principal point, px. */
  originPx: readonly [number, number];
  nearnessPerMm: number;
  /** (n, 2) picture minus projection, px; of every point, used or not. */
  residuals: Float64Array;
  /** Root mean square of one coordinate over the points used, px. */
  residualPx: number;
  /** (n) weight of each point after the biweight. */
  weight: Float64Array;
  /** (7, 2n) row-major: how each parameter moves with each coordinate of the picture; rows: turn about camera x, y, z (rad), log s, a, b, k. */
  response: Float64Array;
  /** Share of the nearness that the prior decided, 0..1. */
  priorShare: number;
}>;

const PARAMETERS = 7;
/** Where the nearness stands on the diagonal of the normal matrix. */
const LAST = PARAMETERS * PARAMETERS - 1;
const FEWEST_POINTS = 6;
const BIWEIGHT = 4.685;
const MOST_STEPS = 25;
/** A turn of a millionth of a radian is far below every other error. */
const SETTLED = 1e-6;

/** Fits the pose. Throws a RangeError when arrays do not pair up or fewer than six points carry weight. */
export function fitPose(problem: PoseProblem): PoseFit {
  const { shape, picture, weight, nearness } = problem;
  const n = weight.length;
  if (shape.length !== 3 * n || picture.length !== 2 * n)
    throw new RangeError(`points must pair up, got ${shape.length / 3} in space, ${picture.length / 2} in the picture and ${n} weights`);
  if (Array.from(weight).filter((w) => w > 0).length < FEWEST_POINTS) throw new RangeError(`a pose needs at least ${FEWEST_POINTS} points`);

  let at = affineStart(problem);
  let robust: Float64Array = Float64Array.from(weight);
  for (let step = 0; step < MOST_STEPS; step++) {
    const { residuals, jacobian } = linearise(problem, at);
    // The first steps walk in with everything; the biweight would throw out good points while the perspective is still wrong.
    if (step >= 3) robust = biweights(residuals, weight);
    const scale2 = robustVariance(residuals, robust);
    const { normal, gradient } = normalEquations(jacobian, residuals, robust);
    const prior = scale2 / nearness.u ** 2;
    normal[LAST] += prior;
    gradient[6] += prior * (nearness.value - at.k);
    const move = solveScaled(normal, gradient);
    at = moved(at, move);
    if (step >= 4 && Math.hypot(move[0], move[1], move[2]) < SETTLED && Math.abs(move[3]) < SETTLED) break;
  }

  const { residuals, jacobian } = linearise(problem, at);
  const scale2 = robustVariance(residuals, robust);
  const { normal } = normalEquations(jacobian, residuals, robust);
  const prior = scale2 / nearness.u ** 2;
  normal[LAST] += prior;
  const inverted = inverseScaled(normal);
  const response = new Float64Array(PARAMETERS * 2 * n);
  for (let p = 0; p < PARAMETERS; p++)
    for (let c = 0; c < 2 * n; c++) {
      let sum = 0;
      for (let q = 0; q < PARAMETERS; q++) sum += inverted[p * PARAMETERS + q] * jacobian[c * PARAMETERS + q];
      response[p * 2 * n + c] = sum * robust[c >> 1];
    }
  return {
    rotation: at.r,
    pxPerMm: at.s,
    originPx: [at.a, at.b],
    nearnessPerMm: at.k,
    residuals,
    residualPx: weightedRms(residuals, robust),
    weight: robust,
    response,
    priorShare: Math.min(1, prior * inverted[LAST]),
  };
}

/** One point of the head frame into the picture, px. */
export function projectPoint(
  fit: Pick<PoseFit, 'rotation' | 'pxPerMm' | 'originPx' | 'nearnessPerMm'>,
  principalPx: readonly [number, number],
  x: number,
  y: number,
  z: number,
): [number, number] {
  const r = fit.rotation;
  const depth = 1 + fit.nearnessPerMm * (r[6] * x + r[7] * y + r[8] * z);
  return [
    principalPx[0] + (fit.pxPerMm * (r[0] * x + r[1] * y + r[2] * z) + fit.originPx[0]) / depth,
    principalPx[1] + (fit.pxPerMm * (r[3] * x + r[4] * y + r[5] * z) + fit.originPx[1]) / depth,
  ];
}

type State = Readonly<{ r: Float64Array; s: number; a: number; b: number; k: number }>;

/** A camera without perspective has linear equations: x = row . shape + shift. Its two rows are s times those of R. */
function affineStart({ shape, picture, weight, principalPx, nearness }: PoseProblem): State {
  const normal = new Float64Array(16);
  const right = [new Float64Array(4), new Float64Array(4)];
  for (let i = 0; i < weight.length; i++) {
    const row = [shape[3 * i], shape[3 * i + 1], shape[3 * i + 2], 1];
    for (let p = 0; p < 4; p++) {
      for (let q = 0; q < 4; q++) normal[4 * p + q] += weight[i] * row[p] * row[q];
      for (let c = 0; c < 2; c++) right[c][p] += weight[i] * row[p] * (picture[2 * i + c] - principalPx[c]);
    }
  }
  const [ix, iy, iz, a] = solveSpd(normal, right[0], 4);
  const [jx, jy, jz, b] = solveSpd(normal, right[1], 4);
  const li = Math.hypot(ix, iy, iz);
  const lj = Math.hypot(jx, jy, jz);
  // Two unit vectors, opened or closed equally until they are at right angles.
  const plus = [ix / li + jx / lj, iy / li + jy / lj, iz / li + jz / lj];
  const minus = [ix / li - jx / lj, iy / li - jy / lj, iz / li - jz / lj];
  const lp = Math.SQRT2 * Math.hypot(plus[0], plus[1], plus[2]);
  const lm = Math.SQRT2 * Math.hypot(minus[0], minus[1], minus[2]);
  const i = [0, 1, 2].map((c) => plus[c] / lp + minus[c] / lm);
  const j = [0, 1, 2].map((c) => plus[c] / lp - minus[c] / lm);
  const k = [i[1] * j[2] - i[2] * j[1], i[2] * j[0] - i[0] * j[2], i[0] * j[1] - i[1] * j[0]];
  return { r: Float64Array.of(...i, ...j, ...k), s: (li + lj) / 2, a, b, k: nearness.value };
}

/** Residuals (2n) and their Jacobian (2n, 7): how the projection moves with each parameter. */
function linearise(
  { shape, picture, weight, principalPx }: PoseProblem,
  { r, s, a, b, k }: State,
): { residuals: Float64Array; jacobian: Float64Array } {
  const n = weight.length;
  const residuals = new Float64Array(2 * n);
  const jacobian = new Float64Array(2 * n * PARAMETERS);
  for (let i = 0; i < n; i++) {
    const sx = shape[3 * i];
    const sy = shape[3 * i + 1];
    const sz = shape[3 * i + 2];
    const X = r[0] * sx + r[1] * sy + r[2] * sz;
    const Y = r[3] * sx + r[4] * sy + r[5] * sz;
    const Z = r[6] * sx + r[7] * sy + r[8] * sz;
    const depth = 1 + k * Z;
    const x = (s * X + a) / depth;
    const y = (s * Y + b) / depth;
    residuals[2 * i] = picture[2 * i] - principalPx[0] - x;
    residuals[2 * i + 1] = picture[2 * i + 1] - principalPx[1] - y;
    // A small turn w moves the point by w x (X, Y, Z).
    jacobian.set(
      [(-x * k * Y) / depth, (s * Z + x * k * X) / depth, (-s * Y) / depth, (s * X) / depth, 1 / depth, 0, (-x * Z) / depth],
      2 * i * PARAMETERS,
    );
    jacobian.set(
      [(-s * Z - y * k * Y) / depth, (y * k * X) / depth, (s * X) / depth, (s * Y) / depth, 0, 1 / depth, (-y * Z) / depth],
      (2 * i + 1) * PARAMETERS,
    );
  }
  return { residuals, jacobian };
}

function normalEquations(
  jacobian: Float64Array,
  residuals: Float64Array,
  weight: Float64Array,
): { normal: Float64Array; gradient: Float64Array } {
  const normal = new Float64Array(PARAMETERS * PARAMETERS);
  const gradient = new Float64Array(PARAMETERS);
  for (let c = 0; c < residuals.length; c++) {
    const w = weight[c >> 1];
    if (w === 0) continue;
    for (let p = 0; p < PARAMETERS; p++) {
      const wj = w * jacobian[c * PARAMETERS + p];
      gradient[p] += wj * residuals[c];
      for (let q = 0; q <= p; q++) normal[p * PARAMETERS + q] += wj * jacobian[c * PARAMETERS + q];
    }
  }
  return { normal, gradient };
}

/** Unknowns in rad, px and 1/mm differ by a million: each is measured in its own standard error before solving. */
function scaled(normal: Float64Array): { matrix: Float64Array; unit: Float64Array } {
  const unit = Float64Array.from({ length: PARAMETERS }, (_, p) => 1 / Math.sqrt(normal[p * (PARAMETERS + 1)]));
  return { unit, matrix: normal.map((v, at) => v * unit[(at / PARAMETERS) | 0] * unit[at % PARAMETERS]) };
}

function solveScaled(normal: Float64Array, right: Float64Array): Float64Array {
  const { matrix, unit } = scaled(normal);
  return solveSpd(
    matrix,
    right.map((v, p) => v * unit[p]),
    PARAMETERS,
  ).map((v, p) => v * unit[p]);
}

function inverseScaled(normal: Float64Array): Float64Array {
  const { matrix, unit } = scaled(normal);
  return inverseSpd(matrix, PARAMETERS).map((v, at) => v * unit[(at / PARAMETERS) | 0] * unit[at % PARAMETERS]);
}

function moved({ r, s, a, b, k }: State, move: ArrayLike<number>): State {
  return {
    r: multiply3(rotationFromVector(move[0], move[1], move[2]), r),
    s: s * Math.exp(move[3]),
    a: a + move[4],
    b: b + move[5],
    // No camera stands inside the head: 10 per m is a lens at 10 cm. Below zero there is no camera, but a reading may fall there.
    k: Math.min(0.01, Math.max(-0.003, k + move[6])),
  };
}

function biweights(residuals: Float64Array, weight: ArrayLike<number>): Float64Array {
  const cut = BIWEIGHT * Math.max(1e-9, NORMAL_FROM_MAD * median(distances(residuals, weight)));
  return Float64Array.from(weight, (w, i) => {
    const ratio = (Math.hypot(residuals[2 * i], residuals[2 * i + 1]) / Math.SQRT2 / cut) ** 2;
    return ratio < 1 ? w * (1 - ratio) ** 2 : 0;
  });
}

/** Variance of one coordinate, from the points used; at least 1e-12 so that a perfect fit keeps its prior finite. */
function robustVariance(residuals: Float64Array, weight: Float64Array): number {
  return Math.max(1e-12, weightedRms(residuals, weight) ** 2);
}

function weightedRms(residuals: Float64Array, weight: Float64Array): number {
  let sum = 0;
  let total = 0;
  for (let c = 0; c < residuals.length; c++) {
    sum += weight[c >> 1] * residuals[c] ** 2;
    total += weight[c >> 1];
  }
  return Math.sqrt(sum / total);
}

function distances(residuals: Float64Array, weight: ArrayLike<number>): number[] {
  const out: number[] = [];
  for (let i = 0; i < weight.length; i++) if (weight[i] > 0) out.push(Math.hypot(residuals[2 * i], residuals[2 * i + 1]) / Math.SQRT2);
  return out;
}
