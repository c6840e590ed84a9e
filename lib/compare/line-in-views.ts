/**
 * A line read in one view, as the other views show it, so that a reader finds it on whichever photograph is open.
 *
 * Model   each place lies in a triangle of the fine surface; all views share the surface's triangles, so its weights there
 *         give the place on the surface that another view was fitted with.
 */
import type { AlignedPair } from '#lib/align/align-pair.ts';
import { project } from '#lib/align/surface-map.ts';
import type { View } from '#shared/comparison.ts';
import type { Place } from './evidence-line.ts';

/** A place farther behind what a view shows than this is hidden there, mm. */
const HIDDEN_MM = 3;

/** x, y of each place in px of every view's plate; a view that hides any of them is left out. */
export function lineInViews(own: AlignedPair, places: readonly Place[], views: readonly AlignedPair[]): Partial<Record<View, number[]>> {
  const out: Partial<Record<View, number[]>> = { [own.view]: places.flatMap(({ x, y }) => [tenth(x), tenth(y)]) };
  for (const other of views) {
    if (other === own) continue;
    const line = places.flatMap((place) => placeIn(own, place, other) ?? []);
    if (line.length === 2 * places.length) out[other.view] = line;
  }
  return out;
}

function placeIn({ map, surface }: AlignedPair, { x, y, headMm }: Place, other: AlignedPair): [number, number] | null {
  const triangle = map.triangle[Math.floor(y / map.stride) * map.width + Math.floor(x / map.stride)];
  if (triangle < 0) return null;
  const corners = [0, 1, 2].map((k) => surface.triangles[3 * triangle + k]);
  const weights = weightsIn(headMm, corners.map((i) => surface.headMm.subarray(3 * i, 3 * i + 3)) as unknown as [Vector, Vector, Vector]);
  const at = [0, 1, 2].map((c) => corners.reduce((sum, i, k) => sum + weights[k] * other.surface.verticesMm[3 * i + c], 0));
  const [u, v] = project(other.before.head, at[0], at[1], at[2]);
  const [i, j] = [Math.floor(u / other.map.stride), Math.floor(v / other.map.stride)];
  if (i < 0 || j < 0 || i >= other.map.width || j >= other.map.height) return null;
  const depth = other.map.depthMm[j * other.map.width + i];
  return Number.isFinite(depth) && at[2] <= depth + HIDDEN_MM ? [tenth(u), tenth(v)] : null;
}

type Vector = ArrayLike<number>;

/** Barycentric weights of the foot of `p` in the plane of a triangle. Source: Ericson, Real-Time Collision Detection, 2005, 3.4. */
function weightsIn(p: Vector, [a, b, c]: readonly [Vector, Vector, Vector]): [number, number, number] {
  const less = (q: Vector): number[] => [q[0] - a[0], q[1] - a[1], q[2] - a[2]];
  const dot = (q: readonly number[], r: readonly number[]): number => q[0] * r[0] + q[1] * r[1] + q[2] * r[2];
  const [ab, ac, ap] = [less(b), less(c), less(p)];
  const [bb, bc, cc, pb, pc] = [dot(ab, ab), dot(ab, ac), dot(ac, ac), dot(ap, ab), dot(ap, ac)];
  const area = bb * cc - bc * bc;
  if (area < 1e-9) return [1, 0, 0]; // a triangle without area is a point
  const v = (cc * pb - bc * pc) / area;
  const w = (bb * pc - bc * pb) / area;
  return [1 - v - w, v, w];
}

const tenth = (px: number): number => Math.round(px * 10) / 10;
