/**
 * What is believed of the displacement before the pair is seen: small bumps, and broad swells under them.
 *
 * Model   d = b + W a over the bumps of the field: b_j independent with a standard deviation for each zone, a_k the heights of swells (Gaussians
 *         of `swellSigmaMm`, written as sums of bumps) with one for each zone too. The covariance D + W T W' lets a whole zone sink
 *         together, which bumps that know nothing of each other would call next to impossible. Reference zones have bumps near rest and no swells.
 *         Both standard deviations come from the pair: expected energy under the posterior, drawn to a starting value.
 * Source  Dempster, Laird & Rubin, JRSS B 39:1-38, 1977 (expectation of the energies); Woodbury's identity as in Golub & Van Loan, 2.1.4.
 */
import { carrySmoothly } from '#lib/align/fine-surface.ts';
import { canonicalMesh } from '#lib/face/canonical-mesh.ts';
import { factorSpd, solveRows } from '#lib/stats/solve-spd.ts';
import { dot, subtractProducts } from '#lib/stats/subtract-products.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import { type BumpSet, bumpSet, fineZones } from './bumps.ts';
import type { DisplacementParameters } from './displacement-parameters.ts';

export type FieldPrior = Readonly<{
  /** (bumps) mm */
  bumpSd: Float64Array;
  /** (swells) mm */
  swellSd: Float64Array;
  /** (bumps, bumps) Q, the inverse of the covariance, lower triangle */
  precision: Float64Array;
  /** (swells, bumps) (Q W)' */
  ofSwells: Float64Array;
}>;

/** What does not change from round to round. */
export type PriorShape = Readonly<{
  bumps: number;
  /** (bumps), (swells) index in ZONE_IDS, or -1 outside every zone */
  zone: Int8Array;
  swellZone: Int8Array;
  held: readonly boolean[];
  /** (swells, bumps) W' */
  swells: Float64Array;
  /** Every third bump of each zone: the variance that is left is alike in neighbours, so they stand for the others. */
  asked: readonly number[];
}>;

/** Swells are cut off where they have fallen to exp(-4.5). */
const REACH = 3;
const ASKED_EVERY = 3;

export function priorShape(set: BumpSet, references: readonly ZoneId[], p: DisplacementParameters): PriorShape {
  const places = carrySmoothly(canonicalMesh().vertices, 3);
  const zones = fineZones();
  const zone = Int8Array.from(set.centres, (c) => zones[c]);
  const isReference = (z: number): boolean => z >= 0 && references.includes(ZONE_IDS[z]);
  const held = Array.from(zone, isReference);
  const centres = bumpSet(p.swellSpacingMm, p.swellSigmaMm).centres.filter((c) => !isReference(zones[c]));
  // A Gaussian of variance S^2 is one of s^2 spread by one of S^2 - s^2; as a sum over bumps on a lattice of p.spacingMm, with height 1.
  const spread2 = p.swellSigmaMm ** 2 - p.sigmaMm ** 2;
  const height = (p.spacingMm ** 2 * p.swellSigmaMm ** 2) / (2 * Math.PI * p.sigmaMm ** 2 * spread2);
  const bumps = set.centres.length;
  const swells = new Float64Array(centres.length * bumps);
  centres.forEach((c, k) => {
    set.centres.forEach((at, j) => {
      if (held[j]) return;
      const r2 =
        (places[3 * at] - places[3 * c]) ** 2 +
        (places[3 * at + 1] - places[3 * c + 1]) ** 2 +
        (places[3 * at + 2] - places[3 * c + 2]) ** 2;
      if (r2 < REACH * REACH * spread2) swells[k * bumps + j] = height * Math.exp(-0.5 * (r2 / spread2));
    });
  });
  const nth = new Map<number, number>();
  const asked = [...zone.keys()].filter((j) => {
    const n = nth.get(zone[j]) ?? 0;
    nth.set(zone[j], n + 1);
    return n % ASKED_EVERY === 0;
  });
  return { bumps, asked, zone, swellZone: Int8Array.from(centres, (c) => zones[c]), held, swells };
}

export function startingPrior(shape: PriorShape, p: DisplacementParameters): FieldPrior {
  return withPrecision(
    shape,
    Float64Array.from(shape.held, (is) => (is ? p.referencePriorMm : p.priorMm)),
    new Float64Array(shape.swellZone.length).fill(p.swellPriorMm),
  );
}

/** (bumps) the precisions of bumps by themselves, near rest: what is believed when no change is supposed. */
export const restPrecision = ({ held }: PriorShape, p: DisplacementParameters): Float64Array =>
  Float64Array.from(held, (is) => 1 / (is ? Math.min(p.restMm, p.referencePriorMm) : p.restMm) ** 2);

/** The prior of the next round, from the field `d` (bumps) and the factor `tail` of its posterior precision. */
export function nextPrior(
  shape: PriorShape,
  prior: FieldPrior,
  d: Float64Array,
  tail: Float64Array,
  p: DisplacementParameters,
): FieldPrior {
  const { bumps, zone, swellZone, held, swells, asked } = shape;
  const count = swellZone.length;
  const { precision, ofSwells } = prior;
  const q = (i: number, j: number): number => (i >= j ? precision[i * bumps + j] : precision[j * bumps + i]);
  // What the posterior leaves of a part's own variance goes by its place in Q - Q Sigma Q.
  const rows = new Float64Array((asked.length + count) * bumps);
  asked.forEach((j, r) => {
    for (let i = 0; i < bumps; i++) rows[r * bumps + i] = q(j, i);
  });
  rows.set(ofSwells, asked.length * bumps);
  solveRows(tail, bumps, rows, asked.length + count);
  const left = (sd: number, before: number, row: number): number =>
    Math.max(0, sd ** 2 - sd ** 4 * (before - dot(rows, row * bumps, rows, row * bumps, bumps)));

  const energy = new Energies();
  for (let j = 0; j < bumps; j++) {
    let qd = 0;
    for (let i = 0; i < bumps; i++) qd += q(j, i) * d[i];
    energy.moved(zone[j], prior.bumpSd[j] ** 4 * qd ** 2);
  }
  asked.forEach((j, r) => {
    energy.left(zone[j], left(prior.bumpSd[j], q(j, j), r));
  });
  const swellEnergy = new Energies();
  for (let k = 0; k < count; k++) {
    const sd = prior.swellSd[k];
    swellEnergy.moved(swellZone[k], sd ** 4 * dot(ofSwells, k * bumps, d, 0, bumps) ** 2);
    swellEnergy.left(swellZone[k], left(sd, dot(ofSwells, k * bumps, swells, k * bumps, bumps), asked.length + k));
  }
  return withPrecision(
    shape,
    Float64Array.from(zone, (z, j) => (held[j] ? prior.bumpSd[j] : energy.sd(z, p.zonePriorMm, p.zonePriorWeight))),
    Float64Array.from(swellZone, (z) => swellEnergy.sd(z, p.zoneSwellMm, p.zoneSwellWeight)),
  );
}

/** Expected energies of parts by zone: what each moved, of every part, and the variance it still has, of those that were asked. */
class Energies {
  readonly #zones = new Map<number, { moved: number; parts: number; left: number; asked: number }>();

  #of(zone: number) {
    const known = this.#zones.get(zone) ?? { moved: 0, parts: 0, left: 0, asked: 0 };
    this.#zones.set(zone, known);
    return known;
  }

  moved(zone: number, energy: number): void {
    const sums = this.#of(zone);
    sums.moved += energy;
    sums.parts++;
  }

  left(zone: number, variance: number): void {
    const sums = this.#of(zone);
    sums.left += variance;
    sums.asked++;
  }

  /** The zone's standard deviation, drawn to `start` as if by `weight` parts that were seen before. */
  sd(zone: number, start: number, weight: number): number {
    const { moved, parts, left, asked } = this.#of(zone);
    return Math.sqrt((weight * start ** 2 + moved + (parts * left) / asked) / (weight + parts));
  }
}

function withPrecision({ bumps, swellZone, swells }: PriorShape, bumpSd: Float64Array, swellSd: Float64Array): FieldPrior {
  const count = swellZone.length;
  // (D + W T W')^-1 = D^-1 - F F' with F = D^-1 W L'^-1 and L L' = T^-1 + W' D^-1 W; and Q W = F L^-1 T^-1.
  const scaled = new Float64Array(count * bumps);
  for (let k = 0; k < count; k++) for (let j = 0; j < bumps; j++) scaled[k * bumps + j] = swells[k * bumps + j] / bumpSd[j];
  const inner = new Float64Array(count * count);
  const rows = { data: scaled, at: 0, stride: bumps };
  subtractProducts({ data: inner, at: 0, stride: count }, rows, count, rows, count, bumps, true);
  for (let k = 0; k < inner.length; k++) inner[k] = -inner[k];
  for (let k = 0; k < count; k++) inner[k * (count + 1)] += 1 / swellSd[k] ** 2;
  const factor = factorSpd(inner, count);
  if (!factor) throw new RangeError('the prior of the swells is not positive definite'); // every swell has a width: only NaN gets here
  const f = new Float64Array(bumps * count);
  for (let j = 0; j < bumps; j++) for (let k = 0; k < count; k++) f[j * count + k] = scaled[k * bumps + j] / bumpSd[j];
  solveRows(factor, count, f, bumps);
  const precision = new Float64Array(bumps * bumps);
  for (let j = 0; j < bumps; j++) precision[j * (bumps + 1)] = 1 / bumpSd[j] ** 2;
  const fRows = { data: f, at: 0, stride: count };
  subtractProducts({ data: precision, at: 0, stride: bumps }, fRows, bumps, fRows, bumps, count, true);
  const heights = new Float64Array(count * count);
  for (let k = 0; k < count; k++) heights[k * (count + 1)] = -1 / swellSd[k] ** 2;
  solveRows(factor, count, heights, count);
  const ofSwells = new Float64Array(count * bumps);
  subtractProducts({ data: ofSwells, at: 0, stride: bumps }, { data: heights, at: 0, stride: count }, count, fRows, bumps, count);
  return { bumpSd, swellSd, precision, ofSwells };
}
