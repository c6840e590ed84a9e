/**
 * The fitted face as a smooth surface: the canonical topology, subdivided, with everything later rooms ask of a point.
 *
 * Frame   camera (mm) for `verticesMm`; viewer for `normals` (x right, y up, z towards the camera); head (mm) for `headMm`.
 * Model   Loop's rule twice: 468 vertices become about 7,400, edges about 2 mm long, with continuous normals.
 */
import { canonicalMesh } from '#lib/face/canonical-mesh.ts';
import type { HeadFit } from '#lib/face/types.ts';
import { vertexAreas, vertexNormals } from '#lib/geometry/mesh.ts';
import { applyStencils, type Stencils, subdivide } from '#lib/geometry/subdivision.ts';

const LEVELS = 2;

export type FineSurface = Readonly<{
  /** (m, 3), counter-clockwise seen from outside */
  triangles: Uint32Array;
  /** (n, 2) 0..1, the canonical unwrapping */
  uv: Float64Array;
  /** (n, 3) mm, camera frame */
  verticesMm: Float64Array;
  /** (n, 3) unit, viewer frame, outward */
  normals: Float64Array;
  /** (n, 3) mm, head frame of this fit */
  headMm: Float64Array;
  /** (n) mm2 that each vertex stands for */
  areasMm2: Float64Array;
}>;

type Topology = Readonly<{ triangles: Uint32Array; uv: Float64Array; steps: readonly Stencils[]; midpoints: readonly Stencils[] }>;

let kept: Topology | null = null;

/** Triangles, uv and stencils of the fine mesh; the same for every face. */
export function fineTopology(): Topology {
  if (kept) return kept;
  const coarse = canonicalMesh();
  let triangles = coarse.triangles;
  let count = coarse.vertices.length / 3;
  let uv = coarse.uv!;
  const steps: Stencils[] = [];
  const midpoints: Stencils[] = [];
  for (let level = 0; level < LEVELS; level++) {
    const loop = subdivide(triangles, count, 'loop');
    const straight = subdivide(triangles, count, 'midpoint').stencils;
    uv = applyStencils(straight, uv, 2);
    steps.push(loop.stencils);
    midpoints.push(straight);
    triangles = loop.triangles;
    count = loop.stencils.start.length - 1;
  }
  kept = { triangles, uv, steps, midpoints };
  return kept;
}

/** Values (468, dims) at the coarse vertices carried smoothly to the fine ones. */
export function carrySmoothly(values: ArrayLike<number>, dims: number): Float64Array {
  let out: ArrayLike<number> = values;
  for (const step of fineTopology().steps) out = applyStencils(step, out, dims);
  return out as Float64Array;
}

/** The surface of one fitted head. */
export function fineSurface(head: HeadFit): FineSurface {
  const { triangles, uv } = fineTopology();
  const verticesMm = carrySmoothly(head.verticesMm, 3);
  const mesh = { vertices: verticesMm, triangles };
  const normals = vertexNormals(mesh);
  const headMm = new Float64Array(verticesMm.length);
  const r = head.rotation;
  const t = head.translationMm;
  for (let i = 0; i < verticesMm.length; i += 3) {
    normals[i + 1] = -normals[i + 1]!;
    normals[i + 2] = -normals[i + 2]!;
    const x = verticesMm[i]! - t[0]!,
      y = verticesMm[i + 1]! - t[1]!,
      z = verticesMm[i + 2]! - t[2]!;
    headMm[i] = r[0]! * x + r[3]! * y + r[6]! * z;
    headMm[i + 1] = r[1]! * x + r[4]! * y + r[7]! * z;
    headMm[i + 2] = r[2]! * x + r[5]! * y + r[8]! * z;
  }
  return { triangles, uv, verticesMm, normals, headMm, areasMm2: vertexAreas(mesh) };
}
