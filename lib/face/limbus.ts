/**
 * The iris as a circle: centre and radius from the brightness step between iris and white of the eye.
 *
 * Frame   px; x right, y down; the centre of the first pixel is (0.5, 0.5).
 * Model   Daugman's integro-differential operator on the two side arcs, which the lids leave free: the circle whose inside is
 *         darker than its outside by the largest blurred step. The engine's own iris points err by -3 to 10 %, and not
 *         alike in every picture, so they only say where to look.
 *         Around that circle every ray then finds its own step, and the circle through the steps gives the radius and,
 *         by the scatter of the rays, its uncertainty.
 * Source  Daugman, IEEE TPAMI 15(11):1148-1161, 1993, doi:10.1109/34.244676.
 */

import { type Raster, sampleBilinear } from '#lib/photo/raster.ts';
import { median, NORMAL_FROM_MAD } from '#lib/stats/quantile.ts';
import { solveSpd } from '#lib/stats/solve-spd.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';

export type Limbus = Readonly<{
  xPx: number;
  yPx: number;
  radiusPx: number;
  /** Standard uncertainty of the radius. */
  uPx: number;
}>;

/** Side arcs reach this far above and below the horizontal; beyond, lids and lashes cover the limbus. Radians. */
const ARC_UP = 0.35;
const ARC_DOWN = 0.7;
const RAYS_PER_SIDE = 15;
/** Radii tried, relative to the engine's. */
const SMALLEST = 0.7;
const LARGEST = 1.15;
/** The step is looked for at this blur, relative to the radius: the limbus is a band, about a tenth of the radius wide. */
const BLUR = 0.07;
/** The single rays look closer: the white of the eye is shaded near the limbus, and a wide blur would be drawn outward by it. */
const EDGE_BLUR = 0.05;
/** An iris of fewer px cannot be measured to better than the engine's own guess. */
const SMALLEST_RADIUS_PX = 4;
/** Fewer rays that agree than this, of 30, and the circle rests on luck. */
const FEWEST_RAYS = 14;
/** Neighbouring rays share pixels; about every second one is news. */
const RAYS_PER_NEWS = 2;

/**
 * Fits the limbus near a guess. `image` holds one channel of linear light (red shows dark and light irises and least veins); `rollRad` is
 * the roll of the head, so that the arcs lie at the eye's own sides.
 */
export function fitLimbus(
  image: Raster,
  guess: Readonly<{ xPx: number; yPx: number; radiusPx: number }>,
  rollRad: number,
): Outcome<Limbus, 'too-small' | 'no-edge'> {
  if (guess.radiusPx < SMALLEST_RADIUS_PX)
    return refused(
      'too-small',
      `The iris is ${(2 * guess.radiusPx).toFixed(0)} px wide, at least ${2 * SMALLEST_RADIUS_PX} are needed to measure it.`,
    );
  const rays = rayDirections(rollRad);
  const coarse = bestCircle(image, guess, rays);
  return refineCircle(image, coarse, rays);
}

type Circle = { x: number; y: number; radius: number };

function rayDirections(roll: number): [number, number][] {
  const out: [number, number][] = [];
  for (const side of [0, Math.PI])
    for (let k = 0; k < RAYS_PER_SIDE; k++) {
      const below = -ARC_UP + ((ARC_UP + ARC_DOWN) * k) / (RAYS_PER_SIDE - 1);
      const angle = roll + (side === 0 ? below : Math.PI - below);
      out.push([Math.cos(angle), Math.sin(angle)]);
    }
  return out;
}

/** Grid of centres and radii around the guess, coarse then fine. */
function bestCircle(image: Raster, guess: Readonly<{ xPx: number; yPx: number; radiusPx: number }>, rays: [number, number][]): Circle {
  const r0 = guess.radiusPx;
  let best: Circle = { x: guess.xPx, y: guess.yPx, radius: r0 };
  let most = -Infinity;
  const consider = (x: number, y: number, radius: number): void => {
    const step = stepAcross(image, x, y, radius, rays);
    if (step <= most) return;
    most = step;
    best = { x, y, radius };
  };
  for (let dx = -0.2; dx <= 0.201; dx += 0.05)
    for (let dy = -0.1; dy <= 0.101; dy += 0.1)
      for (let k = SMALLEST; k <= LARGEST; k += 0.03) consider(guess.xPx + dx * r0, guess.yPx + dy * r0, k * r0);
  const { x, y, radius } = best;
  for (let dx = -0.04; dx <= 0.041; dx += 0.02) for (let dk = -0.03; dk <= 0.031; dk += 0.01) consider(x + dx * r0, y, radius + dk * r0);
  return best;
}

/** Mean over the rays of log brightness outside less inside. A lash or a glint is one ray's trouble: each ray's say is limited. */
function stepAcross(image: Raster, x: number, y: number, radius: number, rays: [number, number][]): number {
  const half = BLUR * radius * 1.5;
  let sum = 0;
  for (const [cx, cy] of rays) {
    const inside = sampleBilinear(image, x + (radius - half) * cx, y + (radius - half) * cy);
    const outside = sampleBilinear(image, x + (radius + half) * cx, y + (radius + half) * cy);
    const step = Math.log((Math.max(0, outside) + DARK) / (Math.max(0, inside) + DARK)); // noise can fall below black
    sum += Math.max(-MOST_STEP, Math.min(MOST_STEP, step));
  }
  return sum / rays.length;
}
/** Linear light added before the logarithm, so that black lashes do not count for more than they show. */
const DARK = 0.01;
const MOST_STEP = 0.8;

function refineCircle(image: Raster, start: Circle, rays: [number, number][]): Outcome<Limbus, 'no-edge'> {
  let circle = start;
  let edges = rayEdges(image, circle, rays);
  for (let round = 0; round < 4; round++) {
    if (edges.length < FEWEST_RAYS) return noEdge(edges.length);
    circle = circleThrough(edges, circle);
    edges = rayEdges(image, circle, rays);
  }
  const left = edges.filter((e) => e.side < 0).length;
  if (edges.length < FEWEST_RAYS || left < FEWEST_RAYS / 3 || edges.length - left < FEWEST_RAYS / 3) return noEdge(edges.length);
  const misses = edges.map((e) => Math.hypot(e.x - circle.x, e.y - circle.y) - circle.radius);
  const sd = NORMAL_FROM_MAD * median(misses.map((m) => Math.abs(m - median(misses))));
  return found({
    xPx: circle.x,
    yPx: circle.y,
    radiusPx: circle.radius,
    uPx: Math.max(0.05, sd / Math.sqrt(edges.length / RAYS_PER_NEWS)),
  });
}

const noEdge = (count: number): Outcome<Limbus, 'no-edge'> =>
  refused(
    'no-edge',
    `The border of the iris shows on ${count} of ${2 * RAYS_PER_SIDE} rays, at least ${FEWEST_RAYS} are needed; the eye may be half shut or out of focus.`,
  );

/** Rise over one blur width, relative to the white beside it. */
const LEAST_STEP = 0.04;

type Edge = { x: number; y: number; side: number };

/** On each ray the steepest brightening near the circle, to a fraction of a px. */
function rayEdges(image: Raster, circle: Circle, rays: [number, number][]): Edge[] {
  const out: Edge[] = [];
  const reach = 0.18 * circle.radius;
  const sigma = Math.max(0.7, EDGE_BLUR * circle.radius);
  const step = Math.max(0.15, circle.radius / 60);
  const count = Math.ceil(reach / step);
  for (const [cx, cy] of rays) {
    const slopes: number[] = [];
    for (let k = -count; k <= count; k++) slopes.push(slopeAt(image, circle, cx, cy, k * step, sigma));
    let top = 1;
    for (let k = 2; k < slopes.length - 1; k++) if (slopes[k] > slopes[top]) top = k;
    const [a, b, c] = [slopes[top - 1], slopes[top], slopes[top + 1]];
    const bright = sampleBilinear(image, circle.x + 1.2 * circle.radius * cx, circle.y + 1.2 * circle.radius * cy);
    // A summit, not the rim of the window, and a step worth the name beside the white of the eye.
    if (!(b > a && b >= c) || b * sigma < LEAST_STEP * bright) continue;
    const at = (top - count + (a - c) / (2 * (a - 2 * b + c))) * step + circle.radius;
    out.push({ x: circle.x + at * cx, y: circle.y + at * cy, side: cx });
  }
  return out;
}

/**
 * Derivative of brightness along the ray, blurred by a Gaussian of `sigma` px. In linear light, where a lens blurs evenly to both
 * sides: the steepest place of the logarithm would lie on the dark side, deeper the more the lens blurs.
 */
function slopeAt(image: Raster, circle: Circle, cx: number, cy: number, offset: number, sigma: number): number {
  let sum = 0;
  let norm = 0;
  for (let k = -4; k <= 4; k++) {
    const t = (k / 2) * sigma;
    const weight = t * Math.exp((-t * t) / (2 * sigma * sigma));
    const at = circle.radius + offset + t;
    sum += weight * sampleBilinear(image, circle.x + at * cx, circle.y + at * cy);
    norm += weight * t;
  }
  return sum / norm;
}

/** Circle of least squares through the edges, one Gauss-Newton step with Tukey weights; the height is held, as side arcs hardly tell it. */
function circleThrough(edges: readonly Edge[], circle: Circle): Circle {
  const misses = edges.map((e) => Math.hypot(e.x - circle.x, e.y - circle.y) - circle.radius);
  const cut = Math.max(0.3, 4.685 * NORMAL_FROM_MAD * median(misses.map(Math.abs)));
  const normal = new Float64Array(4);
  const right = new Float64Array(2);
  edges.forEach((e, i) => {
    const weight = Math.max(0, 1 - (misses[i] / cut) ** 2) ** 2;
    const cx = (e.x - circle.x) / Math.hypot(e.x - circle.x, e.y - circle.y);
    const row = [cx, 1];
    for (let p = 0; p < 2; p++) {
      right[p] += weight * row[p] * misses[i];
      for (let q = 0; q < 2; q++) normal[2 * p + q] += weight * row[p] * row[q];
    }
  });
  const [dx, dr] = solveSpd(normal, right, 2);
  return { x: circle.x + dx, y: circle.y, radius: circle.radius + dr };
}
