/** A displacement field made by rule: a bowl of a face on a grid, moved by a dip, with evidence along straight lines. */
import { EVIDENCE_SCHEMA, type Evidence, type FaceSurface, type Field, type ZoneEvidence } from '#shared/field.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';

export type SampleGrid = Readonly<{
  widthPx: number;
  heightPx: number;
  mmPerPx: number;
  /** Index into ZONE_IDS, or -1, at a place of the plate. */
  zoneAt: (x: number, y: number) => number;
  displacementAt: (x: number, y: number) => number;
}>;

const COLUMNS = 41;
const ROWS = 51;

/** COLUMNS x ROWS vertices over the plate, bulging towards the viewer; the rim is turned away. */
export function sampleSurface({ widthPx, heightPx, mmPerPx, zoneAt, displacementAt }: SampleGrid): FaceSurface {
  const count = COLUMNS * ROWS;
  const placesMm = new Float32Array(3 * count);
  const platePx = new Float32Array(2 * count);
  const displacementMm = new Float32Array(count);
  const zone = new Int8Array(count).fill(-1);
  const facing = new Uint8Array(count);
  const trust = new Uint8Array(count);
  const triangles: number[] = [];
  for (let row = 0; row < ROWS; row++)
    for (let column = 0; column < COLUMNS; column++) {
      const i = row * COLUMNS + column;
      const [x, y] = [(column / (COLUMNS - 1)) * (widthPx - 1), (row / (ROWS - 1)) * (heightPx - 1)];
      const [u, v] = [(2 * x) / widthPx - 1, (2 * y) / heightPx - 1];
      platePx.set([x, y], 2 * i);
      placesMm.set([(x - widthPx / 2) * mmPerPx, (heightPx / 2 - y) * mmPerPx, 60 * (1 - u * u) - 20 * v * v], 3 * i);
      zone[i] = zoneAt(x, y);
      if (zone[i]! >= 0) displacementMm[i] = displacementAt(x, y);
      facing[i] = Math.round(255 * Math.max(0, 1 - u * u));
      trust[i] = zone[i]! >= 0 && !ZONE_IDS[zone[i]!]!.startsWith('jawline') ? 240 : 0;
      if (row + 1 < ROWS && column + 1 < COLUMNS) triangles.push(i, i + COLUMNS, i + 1, i + 1, i + COLUMNS, i + COLUMNS + 1);
    }
  return { view: 'frontal', triangles: Uint16Array.from(triangles), placesMm, displacementMm, zone, platePx, facing, trust };
}

/** A line of 31 samples down the plate through (x, y), with a dip of `peakMm` in its middle; its last lightness was not seen. */
export function sampleEvidence(zone: ZoneId, peakMm: number, [x, y]: readonly [number, number] = [30, 40], pxPerMm = 0.5): ZoneEvidence {
  const at = Array.from({ length: 31 }, (_, k) => k);
  const dip = (k: number): number => peakMm * Math.exp(-(((k - 15) / 6) ** 2) / 2);
  return {
    zone,
    view: 'frontal',
    ends: ['upper', 'lower'],
    distanceMm: at,
    inZone: at.map((k) => k >= 7 && k <= 23),
    displacementMm: at.map(dip),
    uMm: at.map((k) => 0.08 + 0.002 * k),
    lightnessBefore: at.map((k) => (k === 30 ? null : 60 - 0.2 * k)),
    lightnessAfter: at.map((k) => (k === 30 ? null : 60 - 0.2 * k + 2 * dip(k))),
    shiftMm: at.map((k) => 0.3 * Math.sin(k / 9)),
    shiftUMm: 0.09,
    trust: at.map((k) => (k < 3 ? 0.2 : 0.95)),
    lines: { frontal: at.flatMap((k) => [x, y + (k - 15) * pxPerMm]) },
  };
}

export const sampleEvidences = (zones: readonly ZoneEvidence[]): Evidence => ({ schema: EVIDENCE_SCHEMA, zones: [...zones] });

export function sampleField(): Field {
  const surface = sampleSurface({ widthPx: 60, heightPx: 80, mmPerPx: 2, zoneAt: (x) => (x < 30 ? 6 : -1), displacementAt: () => -1 });
  return { surface, evidence: sampleEvidences([sampleEvidence('midface-left', -1.4), sampleEvidence('forehead', 0)]) };
}
