/**
 * The basis of the displacement field: Gaussian bumps on the skin, the same places on every face.
 *
 * Model   d(p) = sum_j d_j exp(-|p - c_j|^2 / (2 s^2)), in mm along the outward normal; centres are vertices of the fine
 *         canonical mesh, about SPACING_MM apart, over and just around the zones; distances in the face's own head frame.
 * Why     7 mm apart with s = 6 mm resolves what a fingertip would feel and no pore; a shading signal of one view
 *         carries no more (measured on phantoms, docs/validation.md).
 */

import { carrySmoothly, type FineSurface, fineTopology } from '#lib/align/fine-surface.ts';
import { canonicalMesh } from '#lib/face/canonical-mesh.ts';
import { zoneWeights } from '#lib/face/zone-map.ts';
import { MM3_PER_ML } from '#lib/geometry/volume.ts';
import { ZONE_IDS } from '#shared/zones.ts';

export type BumpSet = Readonly<{
  /** Fine vertices at the centres. */
  centres: Int32Array;
  sigmaMm: number;
}>;

/** How far outside every zone a centre may lie, in spacings: borders need bumps on both sides. */
const RIM = 0.8;
/** Bumps reach this many sigma; exp(-3.2^2 / 2) = 0.006. */
export const REACH = 3.2;

const sets = new Map<string, BumpSet>();

/** Centres `spacingMm` apart on the canonical face. */
export function bumpSet(spacingMm: number, sigmaMm: number): BumpSet {
  const key = `${spacingMm}/${sigmaMm}`;
  const known = sets.get(key);
  if (known) return known;
  const places = carrySmoothly(canonicalMesh().vertices, 3);
  const zone = fineZones();
  const near = (i: number): boolean => zone[i] >= 0 || zone.some((z, k) => z >= 0 && distance2(places, i, k) < (RIM * spacingMm) ** 2);
  const centres: number[] = [];
  // Zone vertices first, so that the rim adapts to them; a greedy pass leaves no two centres closer than the spacing.
  for (const inZone of [true, false])
    for (let i = 0; i < zone.length; i++)
      if (zone[i] >= 0 === inZone && centres.every((c) => distance2(places, i, c) >= (0.82 * spacingMm) ** 2) && (inZone || near(i)))
        centres.push(i);
  const set = { centres: Int32Array.from(centres), sigmaMm };
  sets.set(key, set);
  return set;
}

let zonesKept: Int8Array | null = null;

/** (fine vertices) index in ZONE_IDS, or -1. */
export function fineZones(): Int8Array {
  const { triangles, uv } = fineTopology();
  zonesKept ??= zoneWeights({ triangles, uv }).vertexZone;
  return zonesKept;
}

/** Calls `each(bump, value, dx, dy, dz)` for every bump that reaches the point (mm, head frame of `surface`); d is from the centre to the point. */
export function bumpsAt(
  set: BumpSet,
  surface: FineSurface,
  x: number,
  y: number,
  z: number,
  each: (bump: number, value: number, dx: number, dy: number, dz: number) => void,
): void {
  const { headMm } = surface;
  const most = (REACH * set.sigmaMm) ** 2;
  const scale = -0.5 / set.sigmaMm ** 2;
  for (let j = 0; j < set.centres.length; j++) {
    const c = 3 * set.centres[j];
    const dx = x - headMm[c];
    if (dx * dx > most) continue;
    const dy = y - headMm[c + 1];
    const dz = z - headMm[c + 2];
    const r2 = dx * dx + dy * dy + dz * dz;
    if (r2 < most) each(j, Math.exp(r2 * scale), dx, dy, dz);
  }
}

/** (zones, bumps) mL of each zone per mm of each bump, and (zones) mm2 of each zone. */
export function zoneIntegrals(set: BumpSet, surface: FineSurface): { mlPerMm: Float64Array; areaMm2: Float64Array } {
  const zones = fineZones();
  const bumps = set.centres.length;
  const mlPerMm = new Float64Array(ZONE_IDS.length * bumps);
  const areaMm2 = new Float64Array(ZONE_IDS.length);
  zones.forEach((zone, i) => {
    if (zone < 0) return;
    const area = surface.areasMm2[i];
    areaMm2[zone] += area;
    bumpsAt(set, surface, surface.headMm[3 * i], surface.headMm[3 * i + 1], surface.headMm[3 * i + 2], (j, value) => {
      mlPerMm[zone * bumps + j] += (area * value) / MM3_PER_ML;
    });
  });
  return { mlPerMm, areaMm2 };
}

function distance2(places: Float64Array, a: number, b: number): number {
  return (places[3 * a] - places[3 * b]) ** 2 + (places[3 * a + 1] - places[3 * b + 1]) ** 2 + (places[3 * a + 2] - places[3 * b + 2]) ** 2;
}
