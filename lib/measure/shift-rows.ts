/**
 * The shift of skin texture as linear observations of displacement, pose error and expression.
 *
 * Frame   mm in the viewer frame of the before photograph; x right, y up.
 * Model   skin that sinks by d along its normal n moves by d (n_x, n_y) in the picture: little where the face looks at the camera, most of d where
 *         an oblique view sees it from the side. What else moves skin is estimated with it: an error of the rigid
 *         motion (two shifts, turns, size, and their perspective), and expression, a smooth field of each component with bumps of its own.
 * Order   within a row: bumps, then the rigid terms, then the expression of this component; indices ascend.
 */
import type { RelitPair } from '#lib/light/relight.ts';
import { RowBuilder, type SparseRows } from '#lib/stats/sparse-rows.ts';
import { type BumpSet, bumpsAt } from './bumps.ts';

/** Terms of an error of the rigid motion. */
export const RIGID_TERMS = 9;
/** Places are divided by this, mm, so that every rigid term is of order one at the rim of the face. */
const HALF_FACE_MM = 60;
/** Every so many cells in either direction: the lattice of the registration is 8 mm wide, so more would only repeat. */
const EVERY = 3;

export type ShiftRows = Readonly<{
  rows: SparseRows;
  /** mm */
  y: Float64Array;
  /** 0..1 */
  trust: Float64Array;
}>;

/** Unknowns that one view adds: rigid terms, and expression of both components. */
export const shiftUnknowns = (expression: BumpSet): number => RIGID_TERMS + 2 * expression.centres.length;

export function shiftRows({ cells, aligned }: RelitPair, set: BumpSet, expression: BumpSet, first: number): ShiftRows {
  const { flow, rigidFlow, rigid, surface, after } = aligned;
  const bumps = expression.centres.length;
  const builder = new RowBuilder();
  const y: number[] = [];
  const trust: number[] = [];
  const toMap = cells.stride / flow.stride;
  const r = aligned.before.head.rotation;
  for (let k = 0; k < cells.count; k++) {
    const column = cells.at[k] % cells.width;
    const row = Math.floor(cells.at[k] / cells.width);
    if (column % EVERY !== 0 || row % EVERY !== 0) continue;
    const at =
      Math.min(flow.height - 1, Math.floor((row + 0.5) * toMap)) * flow.width +
      Math.min(flow.width - 1, Math.floor((column + 0.5) * toMap));
    const sx = (flow.x[at] - rigidFlow.x[at]) * after.scale.mmPerPx;
    const sy = (flow.y[at] - rigidFlow.y[at]) * after.scale.mmPerPx;
    // The after head may be turned in its picture: back into the before camera, then y up.
    const shift = [rigid.rotation[0] * sx + rigid.rotation[3] * sy, -(rigid.rotation[1] * sx + rigid.rotation[4] * sy)];
    const [hx, hy, hz] = [cells.headMm[3 * k], cells.headMm[3 * k + 1], cells.headMm[3 * k + 2]];
    const px = (r[0] * hx + r[1] * hy + r[2] * hz) / HALF_FACE_MM;
    const py = -(r[3] * hx + r[4] * hy + r[5] * hz) / HALF_FACE_MM;
    const pz = -(r[6] * hx + r[7] * hy + r[8] * hz) / HALF_FACE_MM;
    const terms = [
      [1, 0, -py, px, pz, 0, px * py, px * pz, px * px],
      [0, 1, px, py, 0, pz, py * py, py * pz, px * py],
    ];
    for (const axis of [0, 1]) {
      const n = cells.normal[3 * k + axis];
      bumpsAt(set, surface, hx, hy, hz, (j, value) => builder.add(j, value * n));
      terms[axis].forEach((value, a) => builder.add(first + a, value));
      bumpsAt(expression, surface, hx, hy, hz, (j, value) => builder.add(first + RIGID_TERMS + axis * bumps + j, value));
      builder.endRow();
      y.push(shift[axis]);
      trust.push(cells.coverage[k]);
    }
  }
  return { rows: builder.rows(), y: Float64Array.from(y), trust: Float64Array.from(trust) };
}
