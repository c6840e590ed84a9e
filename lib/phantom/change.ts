/**
 * A known change of volume: the surface moves along its normals inside a zone, fading to nothing at the zone's border.
 *
 * Frame   head, mm; displacement positive outwards, so a loss is negative.
 * Model   the shape of the change solves the membrane equation (Laplacian = -1) over the zone with zero at its border, which is smooth
 *         for any outline; a smooth step makes it broad in the middle and flat at the border (of all such shapes we tried it has the least slope). It is scaled so that the
 *         integral over the surface is the volume asked for.
 */

import { zoneIndexOfPoint, zoneWeights } from '#lib/face/zone-map.ts';
import { triangleAreas, vertexAreas } from '#lib/geometry/mesh.ts';
import { MM3_PER_ML } from '#lib/geometry/volume.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import { smoothstep } from './fields.ts';
import type { HeadGrid } from './head-grid.ts';
import { LEFT_EYE_LOOP, RIGHT_EYE_LOOP } from './head-topology.ts';
import type { LossSpec } from './types.ts';

const OUTER_LIP = [61, 185, 40, 39, 37, 0, 267, 269, 270, 409, 291, 146, 91, 181, 84, 17, 314, 405, 321, 375];
/** Back, tip and wings of the nose. */
const NOSE = [168, 6, 197, 195, 5, 4, 1, 48, 64, 278, 294];
const SWEEPS = 400;
/** Over-relaxation of the sweeps; below 2 it converges. */
const RELAXATION = 1.9;

/** Eight places 1.2 mm away, in uv. */
const AROUND = Array.from({ length: 8 }, (_, k) => [0.005 * Math.cos((k * Math.PI) / 4), 0.005 * Math.sin((k * Math.PI) / 4)] as const);

const vertexZones = new WeakMap<HeadGrid, Int8Array>();

/** Index in ZONE_IDS of the zone of each vertex, -1 outside. */
export function zonesOfGrid(grid: HeadGrid): Int8Array {
  const zones = vertexZones.get(grid) ?? zoneWeights(grid).vertexZone;
  vertexZones.set(grid, zones);
  return zones;
}

/** (n) displacement in mm of all losses together, over the resting surface `vertices` (n, 3). Throws RangeError for a volume that is not finite. */
export function displacementOf(losses: readonly LossSpec[], grid: HeadGrid, vertices: Float64Array): Float64Array {
  const total = new Float64Array(grid.count);
  const areas = vertexAreas({ vertices, triangles: grid.triangles });
  for (const loss of losses) {
    if (!Number.isFinite(loss.volumeMl)) throw new RangeError(`volumeMl must be a finite number, got ${loss.volumeMl}`);
    const within = membrane('zones' in loss ? loss.zones : [loss.zone], grid);
    const shape = loss.spreadMm ? spread(within, loss.spreadMm, grid) : within;
    let integral = 0;
    for (let i = 0; i < shape.length; i++) integral += shape[i] * areas[i];
    for (let i = 0; i < shape.length; i++) total[i] += (shape[i] * loss.volumeMl * MM3_PER_ML) / integral;
  }
  return total;
}

/** Volume change of each zone that has one, mL. */
export function volumesByZone(displacementMm: Float64Array, grid: HeadGrid, vertices: Float64Array): Partial<Record<ZoneId, number>> {
  const zones = zonesOfGrid(grid);
  const areas = vertexAreas({ vertices, triangles: grid.triangles });
  const sums = new Float64Array(ZONE_IDS.length);
  displacementMm.forEach((d, i) => {
    if (d !== 0 && zones[i] >= 0) sums[zones[i]] += (d * areas[i]) / MM3_PER_ML;
  });
  return Object.fromEntries(ZONE_IDS.flatMap((zone, z) => (sums[z] !== 0 ? [[zone, sums[z]]] : [])));
}

/** (n) 0..1: the shape of a change over the zones taken as one region. */
function membrane(zones: readonly ZoneId[], grid: HeadGrid): Float64Array {
  const wanted = new Set(zones.map((zone) => ZONE_IDS.indexOf(zone)));
  const zoneOf = zonesOfGrid(grid);
  // A vertex on the border itself stays put, whichever side it was counted to.
  const onBorder = (i: number): boolean =>
    AROUND.some(([du, dv]) => !wanted.has(zoneIndexOfPoint(grid.uv[2 * i] + du, grid.uv[2 * i + 1] + dv)));
  const inside = Uint32Array.from({ length: grid.count }, (_, i) => i).filter((i) => wanted.has(zoneOf[i]) && !onBorder(i));
  if (inside.length === 0) throw new RangeError(`no part of the mesh belongs to ${zones.join(', ')}`);
  const stiff = stiffness(grid, new Set(inside));
  const height = new Float64Array(grid.count);
  for (let sweep = 0; sweep < SWEEPS; sweep++)
    for (const i of inside) {
      const { neighbours, weights, sum, load } = stiff.get(i)!;
      let pull = load;
      for (let k = 0; k < neighbours.length; k++) pull += weights[k] * height[neighbours[k]];
      height[i] += RELAXATION * (pull / sum - height[i]);
    }
  let top = 0;
  for (const i of inside) top = Math.max(top, height[i]);
  return height.map((h) => smoothstep(0, 1, h / top));
}

/** Vertices of a head that stand some 4 mm apart on the cheek. */
const DENSE_ENOUGH = 8000;
/** Lids, lips and nose keep still beside a spread change: it fades out over this distance from them, mm. */
const STILL_MM = [2, 9] as const;

/** The shape blurred by a Gaussian in space, over the average head. Half the vertices of a fine head are enough as sources. */
function spread(shape: Float64Array, sigmaMm: number, grid: HeadGrid): Float64Array {
  if (!(sigmaMm >= 3)) throw new RangeError(`spreadMm must be at least 3, got ${sigmaMm}`);
  const { material } = grid;
  const dense = grid.coarser.count > DENSE_ENOUGH ? grid.coarser : grid;
  const sources = vertexAreas({ vertices: material.subarray(0, 3 * dense.count), triangles: dense.triangles }).map(
    (area, i) => area * shape[i],
  );
  const active = [...sources.keys()].filter((i) => sources[i] > 0);
  const still = [...RIGHT_EYE_LOOP, ...LEFT_EYE_LOOP, ...OUTER_LIP, ...NOSE].map((i) => material.subarray(3 * i, 3 * i + 3));
  const out = new Float64Array(grid.count);
  const reach2 = 12 * sigmaMm * sigmaMm;
  let top = 0;
  for (let i = 0; i < grid.count; i++) {
    let sum = 0;
    for (const j of active) {
      const far2 =
        (material[3 * i] - material[3 * j]) ** 2 +
        (material[3 * i + 1] - material[3 * j + 1]) ** 2 +
        (material[3 * i + 2] - material[3 * j + 2]) ** 2;
      // less its value at the edge of its reach, so that it ends without a step
      if (far2 < reach2) sum += sources[j] * (Math.exp(-far2 / (2 * sigmaMm * sigmaMm)) - Math.exp(-6));
    }
    if (sum === 0) continue;
    let nearest = Infinity;
    for (const point of still)
      nearest = Math.min(nearest, Math.hypot(material[3 * i] - point[0], material[3 * i + 1] - point[1], material[3 * i + 2] - point[2]));
    out[i] = sum * smoothstep(STILL_MM[0], STILL_MM[1], nearest);
    top = Math.max(top, out[i]);
  }
  return out.map((value) => value / top);
}

type Row = { neighbours: number[]; weights: number[]; sum: number; load: number };

/** Cotangent weights (Pinkall & Polthier, Experimental Mathematics 2(1), 1993) on the average head, so that every face gets the same shape of change. */
function stiffness({ triangles, material }: HeadGrid, inside: ReadonlySet<number>): Map<number, Row> {
  const rows = new Map<number, Row>();
  const row = (i: number): Row => {
    const found = rows.get(i) ?? { neighbours: [], weights: [], sum: 0, load: 0 };
    rows.set(i, found);
    return found;
  };
  const link = (i: number, j: number, weight: number): void => {
    if (!inside.has(i)) return;
    const own = row(i);
    own.neighbours.push(j);
    own.weights.push(weight);
    own.sum += weight;
  };
  const near = triangles.filter((_, k) => {
    const f = k - (k % 3);
    return inside.has(triangles[f]) || inside.has(triangles[f + 1]) || inside.has(triangles[f + 2]);
  });
  const areas = triangleAreas({ vertices: material, triangles: near });
  for (let t = 0; t < near.length; t += 3)
    for (let k = 0; k < 3; k++) {
      const [a, b, c] = [near[t + k], near[t + ((k + 1) % 3)], near[t + ((k + 2) % 3)]];
      let dot = 0;
      for (let d = 0; d < 3; d++) dot += (material[3 * a + d] - material[3 * c + d]) * (material[3 * b + d] - material[3 * c + d]);
      // A blunt angle would give a negative weight and let the sweeps run away; it is held just above zero.
      const cotangent = Math.max(0.02, dot / (4 * areas[t / 3]));
      link(a, b, cotangent);
      link(b, a, cotangent);
      if (inside.has(a)) row(a).load += areas[t / 3] / 3;
    }
  return rows;
}
