/**
 * What speaks for a zone's finding, along one line across it: displacement with its uncertainty, lightness before and after
 * under one light, the shift of texture, and how far the light model was trusted.
 *
 * Frame   the line is straight in the plate of the view that shows the zone best; distances follow the skin, mm.
 * Model   the line runs through the zone's largest displacement, across the longer axis of the zone as the view shows it (so across a
 *         fold and not along it), and a little beyond both borders, so that the skin around is seen as well.
 */
import type { AlignedPair } from '#lib/align/align-pair.ts';
import { project } from '#lib/align/surface-map.ts';
import type { RelitPair } from '#lib/light/relight.ts';
import { bumpsAt, fineZones } from '#lib/measure/bumps.ts';
import type { FineLight } from '#lib/measure/fine-light.ts';
import type { Measures } from '#lib/measure/measure-zones.ts';
import { displacementAt } from '#lib/measure/volume.ts';
import type { ZoneEvidence } from '#shared/field.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import { evidenceLine, type Place } from './evidence-line.ts';
import { lineInViews } from './line-in-views.ts';

/** Samples of the line. Uncertainty varies over the width of a bump, so it is reckoned at every fifth and drawn through. */
const SAMPLES = 31;
const U_EVERY = 5;
/** Lightness is the mean over so many cells around a sample, each 0.8 mm wide, of which a third must be skin. */
const LIGHT_REACH = 1;
const LIGHT_LEAST = 3;

export type EvidenceView = Readonly<{
  view: RelitPair;
  /** All views, this one among them. */
  views: readonly AlignedPair[];
  fine: FineLight;
  /** Of each zone, see shortAxes. */
  axes: readonly (readonly [number, number] | null)[];
  /** On the grid of the view's skin cells, see trustGrid. */
  trust: Float32Array;
  /** What the references' L* drifted by. */
  drift: number;
}>;

/** Trust of each cell of the view's grid, 0..1; NaN where there is no skin. */
export function trustGrid({ cells }: RelitPair, trust: Float64Array): Float32Array {
  const grid = new Float32Array(cells.width * cells.height).fill(Number.NaN);
  cells.at.forEach((cell, k) => {
    grid[cell] = trust[k];
  });
  return grid;
}

/** Null when too little of the zone is seen to draw a line across it. */
export function zoneEvidence(
  { view, views, fine, axes, trust, drift }: EvidenceView,
  measures: Measures,
  zone: ZoneId,
): ZoneEvidence | null {
  const { aligned, cells } = view;
  const index = ZONE_IDS.indexOf(zone);
  const peak = peakPx(view, measures, index);
  const across = axes[index];
  const line = peak && across ? evidenceLine(aligned, fine.zone, index, peak, across, SAMPLES) : null;
  if (!line) return null;
  const { places, direction, ends } = line;
  const mmPerPx = aligned.after.scale.mmPerPx;
  const light = (values: Float32Array): (number | null)[] => places.map((place) => lightAt(values, aligned.map, place));
  const shiftOf = ({ x, y }: Place): number | null => {
    const at = cellOf(x, y, aligned.map);
    const dx = aligned.flow.x[at] - aligned.rigidFlow.x[at];
    const dy = aligned.flow.y[at] - aligned.rigidFlow.y[at];
    return rounded(mmPerPx * (dx * direction[0] + dy * direction[1]), 3);
  };
  const trustOf = ({ x, y }: Place): number | null => {
    const value = trust[cellOf(x, y, cells)];
    return Number.isNaN(value) ? null : rounded(value, 2);
  };
  return {
    zone,
    view: aligned.view,
    ends,
    distanceMm: places.map(({ distanceMm }) => rounded(distanceMm, 2)),
    inZone: places.map(({ inZone }) => inZone),
    displacementMm: places.map(({ headMm: [x, y, z] }) => rounded(displacementAt(measures.fit, aligned.surface, x, y, z), 3)),
    uMm: uncertainties(view, measures, places),
    lightnessBefore: light(fine.before),
    lightnessAfter: light(fine.after).map((value) => (value === null ? null : rounded(value - drift, 2))),
    shiftMm: places.map(shiftOf),
    shiftUMm: rounded(aligned.registration.residualMm, 3),
    trust: places.map(trustOf),
    lines: lineInViews(aligned, places, views),
  };
}

/** Where the view shows the vertex of the zone that was moved most. Null when it shows none. */
function peakPx({ aligned }: RelitPair, measures: Measures, zone: number): readonly [number, number] | null {
  const { surface, before, map } = aligned;
  let best: readonly [number, number] | null = null;
  let most = -1;
  fineZones().forEach((z, i) => {
    const size = Math.abs(measures.volume.vertexMm[i]);
    if (z !== zone || size <= most) return;
    const depth = surface.verticesMm[3 * i + 2];
    const [x, y] = project(before.head, surface.verticesMm[3 * i], surface.verticesMm[3 * i + 1], depth);
    if (x < 0 || y < 0 || x >= map.width * map.stride || y >= map.height * map.stride) return;
    const cell = cellOf(x, y, map);
    if (map.triangle[cell] < 0 || depth > map.depthMm[cell] + 2) return;
    most = size;
    best = [x, y];
  });
  return best;
}

/** Of each place, standard uncertainty of the displacement, mm: reckoned at every fifth, straight between. */
function uncertainties({ aligned }: RelitPair, { fit }: Measures, places: readonly Place[]): number[] {
  const firm = places.filter((_, k) => k % U_EVERY === 0);
  const { covariance } = fit.functionals(
    firm.map(({ headMm: [x, y, z] }) => {
      const weights = new Float64Array(fit.set.centres.length);
      bumpsAt(fit.set, aligned.surface, x, y, z, (bump, value) => {
        weights[bump] = value;
      });
      return weights;
    }),
  );
  const u = firm.map((_, k) => Math.sqrt(Math.max(0, covariance[k * (firm.length + 1)])));
  return places.map((_, k) => {
    const low = Math.min(firm.length - 2, Math.floor(k / U_EVERY));
    const part = k / U_EVERY - low;
    return rounded((1 - part) * u[low] + part * u[low + 1], 3);
  });
}

/** Mean over the cells around the place that have a value; null when too few have. */
function lightAt(values: Float32Array, map: Readonly<{ width: number; height: number; stride: number }>, { x, y }: Place): number | null {
  const [i, j] = [Math.floor(x / map.stride), Math.floor(y / map.stride)];
  let sum = 0;
  let count = 0;
  for (let b = Math.max(0, j - LIGHT_REACH); b <= Math.min(map.height - 1, j + LIGHT_REACH); b++)
    for (let a = Math.max(0, i - LIGHT_REACH); a <= Math.min(map.width - 1, i + LIGHT_REACH); a++) {
      const value = values[b * map.width + a];
      if (Number.isNaN(value)) continue;
      sum += value;
      count++;
    }
  return count < LIGHT_LEAST ? null : rounded(sum / count, 2);
}

const cellOf = (x: number, y: number, { width, height, stride }: Readonly<{ width: number; height: number; stride: number }>): number =>
  Math.min(height - 1, Math.floor(y / stride)) * width + Math.min(width - 1, Math.floor(x / stride));

const rounded = (value: number, decimals: number): number => Math.round(value * 10 ** decimals) / 10 ** decimals || 0;
