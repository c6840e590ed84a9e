/**
 * Finer meshes: every triangle becomes four.
 *
 * Model   A subdivision is a list of stencils: each fine vertex is a weighted mean of coarse ones. The same
 *         stencils carry any other value given at the vertices (uv, a displacement, an uncertainty), and the weights of a
 *         fine vertex sum to 1.
 * Rules   `midpoint` keeps the surface and adds points on it. `loop` smooths: Loop, Smooth Subdivision Surfaces Based on
 *         Triangles, thesis, University of Utah, 1987, with Warren's vertex weight (3/16 for three neighbours, else
 *         3/(8n)); borders follow the cubic spline masks 1/8 6/8 1/8 and 1/2 1/2.
 * Order   coarse vertices keep their indices; edge points follow in the order in which triangles name their edges.
 */
import type { Mesh } from './types.ts';

export type Stencils = Readonly<{
  /** (fine + 1) where each fine vertex's entries begin. */
  start: Uint32Array;
  /** Coarse vertex of each entry, and its weight. */
  index: Uint32Array;
  weight: Float64Array;
}>;

export type Subdivision = Readonly<{ triangles: Uint32Array; stencils: Stencils }>;
export type SubdivisionRule = 'midpoint' | 'loop';

/** One step of subdivision of `count` vertices joined by `triangles` (m, 3). */
export function subdivide(triangles: Uint32Array, count: number, rule: SubdivisionRule): Subdivision {
  const edges = edgesOf(triangles, count);
  const fine = new Uint32Array(triangles.length * 4);
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [triangles[t], triangles[t + 1], triangles[t + 2]];
    const [ab, bc, ca] = [count + edges.ofSide[t], count + edges.ofSide[t + 1], count + edges.ofSide[t + 2]];
    fine.set([a, ab, ca, ab, b, bc, ca, bc, c, ab, bc, ca], 4 * t);
  }
  const rows: number[][] = rule === 'loop' ? loopRows(edges, count) : midpointRows(edges, count);
  return { triangles: fine, stencils: packed(rows) };
}

/** Values (coarse, dims) carried to the fine vertices (fine, dims). */
export function applyStencils(stencils: Stencils, values: ArrayLike<number>, dims: number): Float64Array {
  const fine = stencils.start.length - 1;
  const out = new Float64Array(fine * dims);
  for (let i = 0; i < fine; i++)
    for (let e = stencils.start[i]; e < stencils.start[i + 1]; e++)
      for (let k = 0; k < dims; k++) out[i * dims + k] += stencils.weight[e] * values[stencils.index[e] * dims + k];
  return out;
}

/** The mesh after `levels` steps; uv is carried by midpoints, so that it stays a map of the same flat picture. */
export function subdivideMesh(mesh: Mesh, rule: SubdivisionRule, levels: number): Mesh {
  let { vertices, triangles, uv } = mesh;
  for (let level = 0; level < levels; level++) {
    const count = vertices.length / 3;
    const step = subdivide(triangles, count, rule);
    if (uv) uv = applyStencils(rule === 'midpoint' ? step.stencils : subdivide(triangles, count, 'midpoint').stencils, uv, 2);
    vertices = applyStencils(step.stencils, vertices, 3);
    triangles = step.triangles;
  }
  return { vertices, triangles, uv };
}

type Edges = Readonly<{
  /** The two ends of each edge, and the corners opposite it in its one or two triangles (-1: none). */
  ends: readonly (readonly [number, number])[];
  opposite: readonly [number, number][];
  /** Edge of each triangle side (a-b, b-c, c-a), as triangles are stored. */
  ofSide: Uint32Array;
}>;

function edgesOf(triangles: Uint32Array, count: number): Edges {
  const known = new Map<number, number>();
  const ends: [number, number][] = [];
  const opposite: [number, number][] = [];
  const ofSide = new Uint32Array(triangles.length);
  for (let k = 0; k < triangles.length; k++) {
    const first = k - (k % 3);
    const a = triangles[k];
    const b = triangles[first + ((k + 1) % 3)];
    const facing = triangles[first + ((k + 2) % 3)];
    const key = Math.min(a, b) * count + Math.max(a, b);
    const edge = known.get(key);
    if (edge === undefined) {
      known.set(key, ends.length);
      ofSide[k] = ends.length;
      ends.push([a, b]);
      opposite.push([facing, -1]);
    } else {
      if (opposite[edge][1] !== -1) throw new RangeError(`edge ${a}-${b} has more than two triangles`);
      ofSide[k] = edge;
      opposite[edge][1] = facing;
    }
  }
  return { ends, opposite, ofSide };
}

/** A row is a flat list: index, weight, index, weight, ... */
function midpointRows(edges: Edges, count: number): number[][] {
  const kept = Array.from({ length: count }, (_, i) => [i, 1]);
  return [...kept, ...edges.ends.map(([a, b]) => [a, 0.5, b, 0.5])];
}

function loopRows(edges: Edges, count: number): number[][] {
  const around: number[][] = Array.from({ length: count }, () => []);
  const border: number[][] = Array.from({ length: count }, () => []);
  edges.ends.forEach(([a, b], e) => {
    around[a].push(b);
    around[b].push(a);
    if (edges.opposite[e][1] !== -1) return;
    border[a].push(b);
    border[b].push(a);
  });
  const kept = around.map((ring, i) => {
    if (border[i].length === 2) return [i, 6 / 8, border[i][0], 1 / 8, border[i][1], 1 / 8];
    if (border[i].length > 0 || ring.length < 3) return [i, 1]; // a corner where borders meet, or a loose vertex: left in place
    const beta = ring.length === 3 ? 3 / 16 : 3 / (8 * ring.length);
    return [i, 1 - ring.length * beta, ...ring.flatMap((j) => [j, beta])];
  });
  const made = edges.ends.map(([a, b], e) => {
    const [c, d] = edges.opposite[e];
    return d === -1 ? [a, 0.5, b, 0.5] : [a, 3 / 8, b, 3 / 8, c, 1 / 8, d, 1 / 8];
  });
  return [...kept, ...made];
}

function packed(rows: readonly (readonly number[])[]): Stencils {
  const start = new Uint32Array(rows.length + 1);
  rows.forEach((row, i) => {
    start[i + 1] = start[i] + row.length / 2;
  });
  const flat = rows.flat();
  return {
    start,
    index: Uint32Array.from({ length: flat.length / 2 }, (_, e) => flat[2 * e]),
    weight: Float64Array.from({ length: flat.length / 2 }, (_, e) => flat[2 * e + 1]),
  };
}
