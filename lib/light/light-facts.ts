/** What a Comparison says about the light of one view. */

import { luminanceFromLinearSrgb } from '#lib/colour/luminance.ts';
import { solveSpd } from '#lib/stats/solve-spd.ts';
import type { Comparison } from '#shared/comparison.ts';
import type { RelitPair } from './relight.ts';
import { harmonicsInto, TERMS_BY_ORDER } from './spherical-harmonics.ts';

/** A first-order part weaker than this share of the mean has no direction worth naming. */
const DIRECTED = 0.12;

export function lightFacts(view: RelitPair): Comparison['light'][number] {
  const before = direction(view, view.cells.before),
    after = direction(view, view.cells.after);
  const angle =
    before && after
      ? (Math.acos(Math.min(1, Math.max(-1, before[0] * after[0] + before[1] * after[1] + before[2] * after[2]))) * 180) / Math.PI
      : null;
  const round = (value: number): number => Number(value.toPrecision(6));
  return {
    view: view.aligned.view,
    exposureRatio: round(view.exposureRatio),
    directionDeg: angle === null ? null : round(angle),
    residual: round(view.luminance.misfit),
  };
}

/** Unit direction of the first-order light, or null where the light is even. */
function direction({ cells }: RelitPair, rgb: Float64Array): [number, number, number] | null {
  const n = TERMS_BY_ORDER[1];
  const normal = new Float64Array(n * n),
    right = new Float64Array(n),
    basis = new Float64Array(n);
  for (let k = 0; k < cells.count; k++) {
    harmonicsInto(basis, 0, cells.normal[3 * k], cells.normal[3 * k + 1], cells.normal[3 * k + 2], n);
    const y = luminanceFromLinearSrgb(rgb[3 * k], rgb[3 * k + 1], rgb[3 * k + 2]);
    for (let a = 0; a < n; a++) {
      right[a] += basis[a] * y;
      for (let b = 0; b < n; b++) normal[a * n + b] += basis[a] * basis[b];
    }
  }
  for (let a = 0; a < n; a++) normal[a * (n + 1)] += 1e-6 * cells.count;
  const c = solveSpd(normal, right, n);
  const size = Math.hypot(c[1], c[2], c[3]);
  if (size < DIRECTED * Math.abs(c[0])) return null;
  return [c[1] / size, c[2] / size, c[3] / size];
}
