/**
 * The displacement field of a measured pair as pages show it: the face's surface with its displacement, and the evidence of each zone.
 *
 * Frame   head frame of the first view; plate px of the same view.
 */
import { project } from '#lib/align/surface-map.ts';
import type { RelitPair } from '#lib/light/relight.ts';
import { fineZones } from '#lib/measure/bumps.ts';
import type { Measures } from '#lib/measure/measure-zones.ts';
import { bestView } from '#lib/measure/zone-cells.ts';
import { EVIDENCE_SCHEMA, type FaceSurface, type Field } from '#shared/field.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import { shortAxes } from './evidence-line.ts';
import { trustGrid, zoneEvidence } from './zone-evidence.ts';

/** A vertex farther behind what a cell shows than this is hidden there, mm. */
const HIDDEN_MM = 4;

/** `drifts`: of each view, what the references' L* drifted by. `assessable`: zones that were judged; only they have evidence. */
export function fieldOf(views: readonly RelitPair[], measures: Measures, drifts: readonly number[], assessable: readonly ZoneId[]): Field {
  const trusts = views.map((view, v) => trustGrid(view, measures.fit.trust[v]));
  const pairs = views.map(({ aligned }) => aligned);
  const axes = views.map((view, v) => shortAxes(measures.fine[v].zone, view.aligned.map.width));
  const zones = assessable.flatMap((zone) => {
    const best = bestView(views, zone);
    if (!best) return [];
    const v = views.indexOf(best.view);
    const evidence = zoneEvidence(
      { view: best.view, views: pairs, fine: measures.fine[v], axes: axes[v], trust: trusts[v], drift: drifts[v] },
      measures,
      zone,
    );
    return evidence ? [evidence] : [];
  });
  return { surface: surfaceOf(views, measures, trusts, assessable), evidence: { schema: EVIDENCE_SCHEMA, zones } };
}

function surfaceOf(
  views: readonly RelitPair[],
  measures: Measures,
  trusts: readonly Float32Array[],
  assessable: readonly ZoneId[],
): FaceSurface {
  const { aligned } = views[0];
  const { surface, before, map } = aligned;
  const count = surface.headMm.length / 3;
  const zone = fineZones();
  const judged = Uint8Array.from(ZONE_IDS, (id) => Number(assessable.includes(id)));
  const platePx = new Float32Array(2 * count);
  const facing = new Uint8Array(count);
  const trust = new Uint8Array(count);
  for (let i = 0; i < count; i++) {
    const z = surface.verticesMm[3 * i + 2];
    const [x, y] = project(before.head, surface.verticesMm[3 * i], surface.verticesMm[3 * i + 1], z);
    platePx[2 * i] = x;
    platePx[2 * i + 1] = y;
    const cell = cellAt(x, y, map.stride, map.width, map.height);
    const seen = cell >= 0 && z <= map.depthMm[cell] + HIDDEN_MM;
    facing[i] = seen ? Math.round(255 * Math.max(0, surface.normals[3 * i + 2])) : 0;
    if (zone[i] < 0 || !judged[zone[i]]) continue;
    trust[i] = Math.round(255 * Math.max(...views.map((view, v) => trustOfVertex(view, trusts[v], i))));
  }
  return {
    view: aligned.view,
    triangles: Uint16Array.from(surface.triangles),
    placesMm: Float32Array.from(surface.headMm),
    displacementMm: Float32Array.from(measures.volume.vertexMm),
    zone: Int8Array.from(zone),
    platePx,
    facing,
    trust,
  };
}

/** 0 where the view does not show the vertex as skin. */
function trustOfVertex({ aligned, cells }: RelitPair, trust: Float32Array, i: number): number {
  const { surface, before } = aligned;
  const z = surface.verticesMm[3 * i + 2];
  const [x, y] = project(before.head, surface.verticesMm[3 * i], surface.verticesMm[3 * i + 1], z);
  const cell = cellAt(x, y, cells.stride, cells.width, cells.height);
  if (cell < 0 || z > HIDDEN_MM - cells.heightMm[cell] || Number.isNaN(trust[cell])) return 0;
  return trust[cell];
}

function cellAt(x: number, y: number, stride: number, width: number, height: number): number {
  const i = Math.floor(x / stride);
  const j = Math.floor(y / stride);
  return i < 0 || j < 0 || i >= width || j >= height ? -1 : j * width + i;
}
