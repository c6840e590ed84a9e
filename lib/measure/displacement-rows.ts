/**
 * One view's skin cells as linear observations of displacement, light and misfit.
 *
 * Frame   gradients turn from viewer to head frame, where bumps live.
 * Order   within a row: bumps, the light of this view, the misfit of this view; indices ascend.
 */
import { luminanceFromLinearSrgb } from '#lib/colour/luminance.ts';
import { imageFrame } from '#lib/light/light-basis.ts';
import type { RelitPair } from '#lib/light/relight.ts';
import { LAMP_COUNT } from '#lib/light/visibility.ts';
import { RowBuilder, type SparseRows } from '#lib/stats/sparse-rows.ts';
import { type BumpSet, bumpsAt } from './bumps.ts';
import type { DisplacementParameters } from './displacement-parameters.ts';
import { shadingOf } from './shading.ts';

const SLOW = 5;
/** Lamps, the ambient light, and the slow terms over the picture. */
export const VIEW_LIGHT_TERMS = LAMP_COUNT + 1 + SLOW;
/** Irradiance under this is shadow: a change of light relative to it has no meaning. */
const DEEP_SHADOW = 0.3;

export type ViewRows = Readonly<{
  rows: SparseRows;
  /** log(after / before) of each row's cell */
  y: Float64Array;
  /** 0..1, of each row */
  trust: Float64Array;
  /** 0..1, of each cell of the view */
  cellTrust: Float64Array;
}>;

/** Prior standard deviations of the light terms of one view. */
export function lightPriorSd(p: DisplacementParameters): Float64Array {
  return Float64Array.from({ length: VIEW_LIGHT_TERMS }, (_, a) =>
    a < LAMP_COUNT ? p.lampChange : a === LAMP_COUNT ? p.ambientChange : a < LAMP_COUNT + 3 ? p.slowChange : p.slowCurve,
  );
}

export function viewRows(
  view: RelitPair,
  set: BumpSet,
  misfitSet: BumpSet,
  firstLight: number,
  firstMisfit: number,
  p: DisplacementParameters,
): ViewRows {
  const { cells, aligned } = view;
  const shading = shadingOf(view);
  const frame = imageFrame(cells);
  const r = aligned.before.head.rotation;
  const builder = new RowBuilder();
  const inverse2 = 1 / set.sigmaMm ** 2;
  const y: number[] = [],
    trust: number[] = [];
  const cellTrust = Float64Array.from(shading.trust, (t, k) => Math.sqrt(t) * cells.coverage[k]);
  for (let k = 0; k < cells.count; k++) {
    const column = cells.at[k] % cells.width,
      row = Math.floor(cells.at[k] / cells.width);
    if ((column + row) % p.thinning !== 0) continue;
    // viewer -> camera (y and z flip) -> head (transposed rotation)
    const gx = shading.gradient[3 * k],
      gy = -shading.gradient[3 * k + 1],
      gz = -shading.gradient[3 * k + 2];
    const hx = r[0] * gx + r[3] * gy + r[6] * gz;
    const hy = r[1] * gx + r[4] * gy + r[7] * gz;
    const hz = r[2] * gx + r[5] * gy + r[8] * gz;
    const [px, py, pz] = [cells.headMm[3 * k], cells.headMm[3 * k + 1], cells.headMm[3 * k + 2]];
    // d log E = g . (-grad d), and grad of a bump is -(p - c) / s^2 times the bump.
    bumpsAt(set, aligned.surface, px, py, pz, (j, value, dx, dy, dz) => builder.add(j, value * inverse2 * (hx * dx + hy * dy + hz * dz)));
    // d log E = sum of d power * visible cosine / E
    const per = 1 / Math.max(DEEP_SHADOW, shading.irradiance[k]);
    for (let l = 0; l <= LAMP_COUNT; l++) builder.add(firstLight + l, shading.basis[k * (LAMP_COUNT + 1) + l] * per);
    const u = column * frame.step - frame.x,
      v = row * frame.step - frame.y;
    [u, v, u * u - v * v, 2 * u * v, u * u + v * v].forEach((value, a) => builder.add(firstLight + LAMP_COUNT + 1 + a, value));
    bumpsAt(misfitSet, aligned.surface, px, py, pz, (j, value) => builder.add(firstMisfit + j, value));
    builder.endRow();
    y.push(
      Math.log(
        luminanceFromLinearSrgb(cells.after[3 * k], cells.after[3 * k + 1], cells.after[3 * k + 2]) /
          luminanceFromLinearSrgb(cells.before[3 * k], cells.before[3 * k + 1], cells.before[3 * k + 2]),
      ),
    );
    trust.push(cellTrust[k]);
  }
  return { rows: builder.rows(), y: Float64Array.from(y), trust: Float64Array.from(trust), cellTrust };
}
