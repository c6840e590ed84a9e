/**
 * Lightness and colour of a zone against the reference zones, after the light has been made equal.
 *
 * Model   mean linear RGB of the zone before, and relit after; the mean gain left on the reference zones is taken out channel by
 *         channel; both means go to CIELAB (D65). Blueness is -b*.
 * Error   three independent parts in natural log units: luminance, red over green, blue over green. Luminance bears the motion of the skin as well. Each has the
 *         covariance of its light terms and the misfit that its own patches show on this pair.
 */
import { ciede2000 } from '#lib/colour/ciede2000.ts';
import { labD65OfLinearSrgb } from '#lib/colour/lab-d65.ts';
import type { RatioFit } from '#lib/light/fit-ratio.ts';
import { LIGHT_TERMS, lightBasis } from '#lib/light/light-basis.ts';
import type { RelitPair } from '#lib/light/relight.ts';
import { chiSquareTail } from '#lib/stats/tails.ts';
import type { ZoneId } from '#shared/zones.ts';
import { difference, type Readings } from './reading.ts';
import { areaOfCells, cellsOfZone, independentParts } from './zone-cells.ts';

export type ColourContext = Readonly<{
  /** (3) log gain left on the references, taken out. */
  drift: readonly number[];
  referenceBasis: Float64Array;
  referenceArea: number;
  basis: Float64Array;
  /** Misfit of luminance, log(R/G), log(B/G). */
  misfit: readonly [number, number, number];
}>;

export function colourContext(view: RelitPair, references: readonly ZoneId[]): ColourContext {
  const { cells, channels, luminance } = view;
  const list = references.flatMap((zone) => cellsOfZone(cells, zone));
  const basis = lightBasis(cells);
  const referenceArea = areaOfCells(cells, list);
  const drift = channels.map((fit) => weightedMean(list, cells.areaMm2, (k) => fit.residual[k]));
  const chroma = ([a, b]: [RatioFit, RatioFit]): number => patchSpread(a, (k) => a.residual[k] - b.residual[k]);
  return {
    drift,
    referenceBasis: meanBasis(basis, list, cells.areaMm2),
    referenceArea,
    basis,
    misfit: [luminance.misfit, chroma([channels[0], channels[1]]), chroma([channels[2], channels[1]])],
  };
}

/**
 * Skin that moved beside the rigid head folds and turns, and so shades differently without having changed: log luminance per mm of
 * such motion, in zones that crease with the mouth and elsewhere (validation's tuning cases with slight expression).
 */
const SHADE_PER_MM = { creasing: 0.05, elsewhere: 0.015 } as const;

/** `creasing` says that the zone folds when the mouth moves. */
export function zoneColour(view: RelitPair, list: readonly number[], context: ColourContext, creasing: boolean): Readings {
  const { cells, relit, luminance } = view;
  const mean = (rgb: Float64Array, c: number): number => weightedMean(list, cells.areaMm2, (k) => rgb[3 * k + c]);
  const before = [0, 1, 2].map((c) => mean(cells.before, c));
  const after = [0, 1, 2].map((c) => mean(relit, c) * Math.exp(-context.drift[c]));
  const labBefore = labD65OfLinearSrgb(before[0], before[1], before[2]);
  const labAfter = labD65OfLinearSrgb(after[0], after[1], after[2]);

  const area = areaOfCells(cells, list);
  const parts = 1 / independentParts(area) + 1 / Math.max(1, independentParts(context.referenceArea));
  const zoneBasis = meanBasis(context.basis, list, cells.areaMm2);
  const creased = (creasing ? SHADE_PER_MM.creasing : SHADE_PER_MM.elsewhere) * motionMm(view, list);
  const u = context.misfit.map((misfit, part) =>
    Math.sqrt(
      (part === 0 ? creased ** 2 : 0) +
        misfit ** 2 * parts +
        quadratic(luminance.covariance, zoneBasis, context.referenceBasis) * (misfit / Math.max(1e-6, context.misfit[0])) ** 2,
    ),
  );
  // How Lab answers to each of the three log errors, at the after colour.
  const step = 1e-3;
  const moved = ([l, rg, bg]: readonly number[]) =>
    labD65OfLinearSrgb(after[0] * Math.exp(l + rg * 0.8), after[1] * Math.exp(l - rg * 0.2 - bg * 0.03), after[2] * Math.exp(l + bg));
  const slopes = [
    [step, 0, 0],
    [0, step, 0],
    [0, 0, step],
  ].map((e) => moved(e).map((value, i) => (value - labAfter[i]) / step));
  const uLab = [0, 1, 2].map((i) => Math.hypot(...slopes.map((slope, e) => slope[i] * u[e])));
  const delta = labAfter.map((value, i) => value - labBefore[i]);
  const colour = ciede2000(...labBefore, ...labAfter);
  const chi2 = delta.reduce((sum, d, i) => sum + (d / Math.max(1e-9, uLab[i])) ** 2, 0);
  const typical = ciede2000(...labBefore, labBefore[0] + uLab[0], labBefore[1] + uLab[1], labBefore[2] + uLab[2]);
  return {
    lightnessDelta: difference(delta[0], uLab[0]),
    colourDelta: { value: colour, u: typical, uNull: typical, rest: 0, p: chiSquareTail(chi2, 3) },
    rednessDelta: difference(delta[1], uLab[1]),
    bluenessDelta: difference(-delta[2], uLab[2]),
  };
}

/** Root mean square of the motion beside the rigid one, over the cells of a zone. */
function motionMm({ cells, aligned }: RelitPair, list: readonly number[]): number {
  const { flow, rigidFlow, after } = aligned;
  const toFlow = cells.stride / flow.stride;
  let sum = 0;
  for (const k of list) {
    const i = Math.min(flow.width - 1, Math.floor(((cells.at[k] % cells.width) + 0.5) * toFlow));
    const j = Math.min(flow.height - 1, Math.floor((Math.floor(cells.at[k] / cells.width) + 0.5) * toFlow));
    const at = j * flow.width + i;
    sum += (flow.x[at] - rigidFlow.x[at]) ** 2 + (flow.y[at] - rigidFlow.y[at]) ** 2;
  }
  return Math.sqrt(sum / Math.max(1, list.length)) * after.scale.mmPerPx;
}

function weightedMean(list: readonly number[], weight: Float64Array, of: (k: number) => number): number {
  let [sum, total] = [0, 0];
  for (const k of list) {
    sum += weight[k] * of(k);
    total += weight[k];
  }
  return total ? sum / total : 0;
}

const meanBasis = (basis: Float64Array, list: readonly number[], weight: Float64Array): Float64Array =>
  Float64Array.from({ length: LIGHT_TERMS }, (_, a) => weightedMean(list, weight, (k) => basis[k * LIGHT_TERMS + a]));

/** (a - b)' C (a - b) */
function quadratic(c: Float64Array, a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < LIGHT_TERMS; i++) for (let j = 0; j < LIGHT_TERMS; j++) sum += (a[i] - b[i]) * c[i * LIGHT_TERMS + j] * (a[j] - b[j]);
  return Math.max(0, sum);
}

/** Robust standard deviation of patch means, natural log units. */
function patchSpread(fit: RatioFit, of: (k: number) => number): number {
  const sum = new Float64Array(fit.patches),
    count = new Float64Array(fit.patches);
  fit.patch.forEach((p, k) => {
    sum[p] += of(k);
    count[p]++;
  });
  const means = Float64Array.from(Array.from(sum, (value, p) => value / count[p]).filter((_, p) => count[p] >= 8)).sort();
  const middle = means[means.length >> 1] ?? 0;
  const spread = means.map((value) => Math.abs(value - middle)).sort();
  return Math.max(5e-4, 1.4826 * (spread[spread.length >> 1] ?? 0));
}
