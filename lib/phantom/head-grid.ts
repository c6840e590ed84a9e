/**
 * The head subdivided: smooth surface through all coarse vertices, with everything that stays the same from face to face.
 *
 * Model   Loop subdivision, made to pass through the coarse vertices by moving its control points until it does
 *         (progressive interpolation: Cheng et al., J. Computer Science and Technology 24(1), 2009), so that a landmark keeps its place.
 * Order   the vertices of every coarser level come first.
 */
import { applyStencils, type Stencils, subdivide } from '#lib/geometry/subdivision.ts';
import { headTopology } from './head-topology.ts';

const INTERPOLATION_STEPS = 5;

export type HeadGrid = Readonly<{
  count: number;
  triangles: Uint32Array;
  part: Uint8Array;
  /** (n, 2) */
  uv: Float64Array;
  /** (n, 3) mm: the average head; the place by which skin is known whatever moves it. */
  material: Float64Array;
  around: Float64Array;
  fromRim: Float64Array;
  /** (n) 1 on the inner side of lids and lips, 0 on their margins and everywhere else. */
  innerSide: Float64Array;
  /** Coarse (coarse, 3) to fine (n, 3). */
  carry: (coarse: Float64Array) => Float64Array;
  /** The next coarser level, for shadows: its vertices are the first `coarser.count` of this one. */
  coarser: Readonly<{ count: number; triangles: Uint32Array; carryUp: (values: Float64Array, dims: number) => Float64Array }>;
}>;

const kept = new Map<number, HeadGrid>();

/** The head after 2 or 3 halvings: about 13 000 or 52 000 vertices. */
export function headGrid(levels: 2 | 3): HeadGrid {
  const grid = kept.get(levels) ?? build(levels);
  kept.set(levels, grid);
  return grid;
}

function build(levels: number): HeadGrid {
  const head = headTopology();
  const loops: Stencils[] = [];
  const midpoints: Stencils[] = [];
  let { triangles } = head;
  let coarser = triangles;
  let count = head.vertices.length / 3;
  for (let level = 0; level < levels; level++) {
    const step = subdivide(triangles, count, 'loop');
    loops.push(step.stencils);
    midpoints.push(subdivide(triangles, count, 'midpoint').stencils);
    coarser = triangles;
    triangles = step.triangles;
    count = step.stencils.start.length - 1;
  }
  const through = (stencils: readonly Stencils[], values: Float64Array, dims: number): Float64Array =>
    stencils.reduce((carried, step) => applyStencils(step, carried, dims), values);
  const carry = (coarse: Float64Array): Float64Array => {
    const control = coarse.slice();
    for (let i = 0; i < INTERPOLATION_STEPS; i++) {
      const reached = through(loops, control, 3);
      for (let k = 0; k < control.length; k++) control[k] += coarse[k] - reached[k];
    }
    return through(loops, control, 3);
  };
  const parts = 4 ** levels;
  const last = midpoints[levels - 1];
  return {
    count,
    triangles,
    part: Uint8Array.from({ length: triangles.length / 3 }, (_, t) => head.part[Math.floor(t / parts)]),
    uv: through(midpoints, head.uv, 2),
    material: carry(head.vertices),
    around: through(midpoints, head.around, 1),
    fromRim: through(midpoints, head.fromRim, 1),
    innerSide: through(
      midpoints,
      Float64Array.from(head.hangsOn, (on) => (on >= 0 ? 1 : 0)),
      1,
    ),
    carry,
    coarser: { count: coarserCount(coarser), triangles: coarser, carryUp: (values, dims) => applyStencils(last, values, dims) },
  };
}

function coarserCount(triangles: Uint32Array): number {
  let most = 0;
  for (const i of triangles) most = Math.max(most, i);
  return most + 1;
}
