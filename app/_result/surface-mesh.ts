/**
 * The face's surface made ready for drawing: the openings of eyes and mouth closed, so that the photograph shows them, and
 * the outward direction of every vertex. Pure.
 */
import type { FaceSurface } from '#shared/field.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';

/** Trust, of 255, under which a place counts as not measured: the same as in the flat map. */
const LEAST_TRUST = 16;
const SMOOTHINGS = 4;

export type SurfaceMesh = Readonly<{
  /** (m, 3) */
  triangles: Uint32Array;
  /** (n, 3) mm */
  places: Float32Array;
  /** (n, 3) unit, outward */
  outward: Float32Array;
  /** (n) mm */
  change: Float32Array;
  /** (n) 0..1: how much of the change the relief shows; it runs out smoothly where a zone is not to be trusted */
  relief: Float32Array;
  /** (n) 1 measured and to be trusted, 0 not */
  known: Float32Array;
  /** (n) index into ZONE_IDS, -1 outside */
  zone: Int8Array;
  /** (n, 2) px of the plate */
  plate: Float32Array;
  /** (n) 0..1 */
  facing: Float32Array;
}>;

export function surfaceMesh(surface: FaceSurface): SurfaceMesh {
  const holes = holesOf(surface.triangles);
  const own = surface.zone.length;
  const count = own + holes.length;
  const grown = <T extends Float32Array | Int8Array>(values: ArrayLike<number>, dims: number, into: T): T => {
    into.set(values as never);
    holes.forEach((loop, h) => {
      for (let c = 0; c < dims; c++) into[(own + h) * dims + c] = loop.reduce((sum, i) => sum + values[i * dims + c]!, 0) / loop.length;
    });
    return into;
  };
  const triangles = [...surface.triangles];
  holes.forEach((loop, h) => {
    loop.forEach((i, k) => triangles.push(own + h, i, loop[(k + 1) % loop.length]!));
  });
  const places = grown(surface.placesMm, 3, new Float32Array(3 * count));
  const zone = new Int8Array(count).fill(-1);
  zone.set(surface.zone);
  const known = Float32Array.from({ length: count }, (_, i) => Number(zone[i]! >= 0 && surface.trust[i]! >= LEAST_TRUST));
  const index = Uint32Array.from(triangles);
  return {
    triangles: index,
    places,
    outward: outwardOf(index, places),
    change: grown(surface.displacementMm, 1, new Float32Array(count)),
    relief: smoothed(
      Float32Array.from(known, (value, i) => (zone[i]! < 0 ? 1 : value)),
      index,
    ),
    known,
    zone,
    plate: grown(surface.platePx, 2, new Float32Array(2 * count)),
    facing: grown(surface.facing, 1, new Float32Array(count)).map((value) => value / 255),
  };
}

/** Where the middle of a zone looks, degrees; null when the surface shows none of it. */
export function zoneTurn(mesh: SurfaceMesh, zone: ZoneId): { yaw: number; pitch: number } | null {
  const index = ZONE_IDS.indexOf(zone);
  const sum = [0, 0, 0];
  mesh.zone.forEach((z, i) => {
    if (z === index) for (let c = 0; c < 3; c++) sum[c]! += mesh.outward[3 * i + c]!;
  });
  const [x, y, z] = sum as [number, number, number];
  const length = Math.hypot(x, y, z);
  const degrees = 180 / Math.PI;
  // The face is turned the other way, so that what looks aside looks at the reader.
  return length === 0 ? null : { yaw: -Math.atan2(x, z) * degrees, pitch: -Math.asin(y / length) * degrees };
}

/** Loops of vertices around each opening but the rim of the face, in the order that closes them with the same winding. */
function holesOf(triangles: ArrayLike<number>): number[][] {
  // An edge of one triangle only is a border; it runs the other way around the opening.
  const next = new Map<number, number>();
  const key = (a: number, b: number): number => a * 65536 + b;
  const edges = new Set<number>();
  for (let t = 0; t < triangles.length; t += 3)
    for (let k = 0; k < 3; k++) edges.add(key(triangles[t + k]!, triangles[t + ((k + 1) % 3)]!));
  for (const edge of edges) {
    const [a, b] = [Math.floor(edge / 65536), edge % 65536];
    if (!edges.has(key(b, a))) next.set(b, a);
  }
  const loops: number[][] = [];
  while (next.size > 0) {
    const loop: number[] = [];
    let at: number | undefined = next.keys().next().value;
    while (at !== undefined && next.has(at)) {
      loop.push(at);
      const to: number = next.get(at)!;
      next.delete(at);
      at = to;
    }
    loops.push(loop);
  }
  const rim = Math.max(...loops.map((loop) => loop.length));
  return loops.filter((loop) => loop.length < rim && loop.length >= 3);
}

/** Means over neighbours, a few times over: borders that follow the mesh's edges become smooth. */
export function smoothed(values: Float32Array, triangles: ArrayLike<number>): Float32Array {
  let out = values;
  for (let round = 0; round < SMOOTHINGS; round++) {
    const sum = Float32Array.from(out);
    const weight = new Float32Array(out.length).fill(1);
    for (let k = 0; k < triangles.length; k++) {
      const other = triangles[k - (k % 3) + ((k + 1) % 3)]!;
      sum[triangles[k]!]! += out[other]!;
      weight[triangles[k]!]!++;
    }
    out = sum.map((value, i) => value / weight[i]!);
  }
  return out;
}

function outwardOf(triangles: ArrayLike<number>, places: Float32Array): Float32Array {
  const out = new Float32Array(places.length);
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [3 * triangles[t]!, 3 * triangles[t + 1]!, 3 * triangles[t + 2]!];
    const edge = (to: number, k: number): number => places[to + k]! - places[a + k]!;
    const cross = [
      edge(b, 1) * edge(c, 2) - edge(b, 2) * edge(c, 1),
      edge(b, 2) * edge(c, 0) - edge(b, 0) * edge(c, 2),
      edge(b, 0) * edge(c, 1) - edge(b, 1) * edge(c, 0),
    ];
    for (const corner of [a, b, c]) for (let k = 0; k < 3; k++) out[corner + k]! += cross[k]!;
  }
  for (let i = 0; i < out.length; i += 3) {
    const length = Math.hypot(out[i]!, out[i + 1]!, out[i + 2]!) || 1;
    for (let k = 0; k < 3; k++) out[i + k]! /= length;
  }
  return out;
}
