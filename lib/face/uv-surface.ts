/**
 * The canonical mesh as a surface over its uv square: which triangle covers a place, and where that place lies in space.
 *
 * Frame   uv 0..1, u to the subject's left, v downwards; head frame in mm.
 *         The triangles do not overlap in uv, so a place has at most one point on the surface.
 */
import { canonicalMesh } from './canonical-mesh.ts';

/** Cells per side of the lookup grid: a cell touches about three triangles. */
const CELLS = 48;

/** A place on the canonical mesh: triangle index and barycentric weights of its three corners. */
export type SurfacePlace = Readonly<{ triangle: number; weights: readonly [number, number, number] }>;

let cells: readonly number[][] | null = null;

/** The triangle of the canonical mesh over (u, v), or null outside the face. */
export function placeOnCanonical(u: number, v: number): SurfacePlace | null {
  if (!(u >= 0 && u < 1 && v >= 0 && v < 1)) return null;
  cells ??= fillCells();
  const { triangles, uv } = canonicalMesh();
  for (const t of cells[((v * CELLS) | 0) * CELLS + ((u * CELLS) | 0)]) {
    const [a, b, c] = [triangles[3 * t], triangles[3 * t + 1], triangles[3 * t + 2]];
    const weights = barycentric(uv!, a, b, c, u, v);
    if (Math.min(...weights) >= -1e-9) return { triangle: t, weights };
  }
  return null;
}

/** The place as a point in space: `positions` is (468, 3) in any frame, for example the canonical mesh or a fitted face. */
export function pointOfPlace(place: SurfacePlace, positions: ArrayLike<number>): [number, number, number] {
  const { triangles } = canonicalMesh();
  const point: [number, number, number] = [0, 0, 0];
  for (let corner = 0; corner < 3; corner++)
    for (let k = 0; k < 3; k++) point[k] += place.weights[corner] * positions[3 * triangles[3 * place.triangle + corner] + k];
  return point;
}

function barycentric(uv: ArrayLike<number>, a: number, b: number, c: number, u: number, v: number): [number, number, number] {
  const [ux, uy] = [uv[2 * b] - uv[2 * a], uv[2 * b + 1] - uv[2 * a + 1]];
  const [vx, vy] = [uv[2 * c] - uv[2 * a], uv[2 * c + 1] - uv[2 * a + 1]];
  const [px, py] = [u - uv[2 * a], v - uv[2 * a + 1]];
  const area = ux * vy - uy * vx;
  const wb = (px * vy - py * vx) / area;
  const wc = (ux * py - uy * px) / area;
  return [1 - wb - wc, wb, wc];
}

function fillCells(): number[][] {
  const { triangles, uv } = canonicalMesh();
  const grid: number[][] = Array.from({ length: CELLS * CELLS }, () => []);
  for (let t = 0; t < triangles.length / 3; t++) {
    const corners = [triangles[3 * t], triangles[3 * t + 1], triangles[3 * t + 2]];
    const us = corners.map((i) => uv![2 * i]);
    const vs = corners.map((i) => uv![2 * i + 1]);
    const cell = (x: number): number => Math.min(CELLS - 1, Math.floor(x * CELLS));
    for (let row = cell(Math.min(...vs)); row <= cell(Math.max(...vs)); row++)
      for (let column = cell(Math.min(...us)); column <= cell(Math.max(...us)); column++) grid[row * CELLS + column].push(t);
  }
  return grid;
}
