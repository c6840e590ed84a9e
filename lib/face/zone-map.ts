/**
 * The zone atlas on the canonical mesh and on any mesh that carries its uv: which zone a place belongs to, zone borders as
 * loops in space.
 *
 * Frame   uv 0..1 of the canonical mesh (u to the subject's left, v downwards); head frame in mm.
 *         A zone is written as its index in ZONE_IDS; -1 is outside every zone.
 */
import { pointInPolygon } from '#lib/geometry/polygon.ts';
import type { Mesh } from '#lib/geometry/types.ts';
import { placeOutline, ZONE_OUTLINES } from '#shared/zone-outlines.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import { canonicalMesh } from './canonical-mesh.ts';
import { placeOnCanonical, pointOfPlace } from './uv-surface.ts';

type Area = Readonly<{ loop: Float64Array; left: number; right: number; top: number; bottom: number }>;

let areas: readonly Area[] | null = null;

/** Index in ZONE_IDS of the zone at (u, v), or -1. A point on a shared border belongs to exactly one of its zones. */
export function zoneIndexOfPoint(u: number, v: number): number {
  areas ??= ZONE_IDS.map(zoneArea);
  return areas.findIndex(
    ({ loop, left, right, top, bottom }) => u >= left && u <= right && v >= top && v <= bottom && pointInPolygon(loop, u, v),
  );
}

/** The zone at (u, v), or null outside every zone. */
export function zoneOfPoint(u: number, v: number): ZoneId | null {
  const index = zoneIndexOfPoint(u, v);
  return index < 0 ? null : ZONE_IDS[index];
}

export type ZoneWeights = Readonly<{
  /** (vertices) index in ZONE_IDS, -1 outside. */
  vertexZone: Int8Array;
  /** (triangles) zone of the triangle's middle; sums over these triangles converge to the zone as the mesh is refined. */
  triangleZone: Int8Array;
}>;

/** The zone of each vertex and triangle of a (subdivided) mesh with uv. Throws when the mesh has no uv. */
export function zoneWeights({ triangles, uv }: Pick<Mesh, 'triangles' | 'uv'>): ZoneWeights {
  if (!uv) throw new TypeError('zoneWeights: the mesh must carry uv; subdivide the canonical mesh');
  const vertexZone = new Int8Array(uv.length / 2).map((_, i) => zoneIndexOfPoint(uv[2 * i], uv[2 * i + 1]));
  const triangleZone = new Int8Array(triangles.length / 3);
  for (let t = 0; t < triangleZone.length; t++) {
    let [u, v] = [0, 0];
    for (let k = 0; k < 3; k++) {
      u += uv[2 * triangles[3 * t + k]] / 3;
      v += uv[2 * triangles[3 * t + k] + 1] / 3;
    }
    triangleZone[t] = zoneIndexOfPoint(u, v);
  }
  return { vertexZone, triangleZone };
}

/** The zone's border in uv, (n, 2), as drawn: corners only. */
export function zoneLoopUv(zone: ZoneId): Float64Array {
  return placeOutline(ZONE_OUTLINES[zone], canonicalMesh().uv!, 2);
}

/**
 * The zone's border as a closed loop on a surface, (n, 3) in the unit of `positions`, (468, 3), by default the canonical
 * mesh in mm. Each uv edge is cut into steps of at most `stepUv` (0.01 is about 2 mm), so the loop clings to the surface.
 */
export function zoneLoop(zone: ZoneId, positions: ArrayLike<number> = canonicalMesh().vertices, stepUv = 0.01): Float64Array {
  const loop = zoneLoopUv(zone);
  const points: number[] = [];
  for (let i = 0; i < loop.length; i += 2) {
    const [u, v] = [loop[i], loop[i + 1]];
    const [nextU, nextV] = [loop[(i + 2) % loop.length], loop[(i + 3) % loop.length]];
    const steps = Math.max(1, Math.ceil(Math.hypot(nextU - u, nextV - v) / stepUv));
    for (let s = 0; s < steps; s++) {
      const place = placeOnCanonical(u + ((nextU - u) * s) / steps, v + ((nextV - v) * s) / steps);
      // A point of the mesh's own rim can fall outside by rounding; its neighbours carry the border.
      if (place) points.push(...pointOfPlace(place, positions));
    }
  }
  return Float64Array.from(points);
}

function zoneArea(zone: ZoneId): Area {
  const loop = zoneLoopUv(zone);
  const us = loop.filter((_, i) => i % 2 === 0);
  const vs = loop.filter((_, i) => i % 2 === 1);
  return { loop, left: Math.min(...us), right: Math.max(...us), top: Math.min(...vs), bottom: Math.max(...vs) };
}
