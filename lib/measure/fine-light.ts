/**
 * Lightness on the 0.8 mm cells of the surface map, before and relit after: fine enough for the shadow of a fold.
 */
import { labD65OfLinearSrgb } from '#lib/colour/lab-d65.ts';
import { zoneIndexOfPoint } from '#lib/face/zone-map.ts';
import type { RelitPair } from '#lib/light/relight.ts';

export type FineLight = Readonly<{
  /** (cells of the map) L*, NaN where not skin or not seen in both */
  before: Float32Array;
  after: Float32Array;
  /** (cells) index in ZONE_IDS, -1 outside */
  zone: Int8Array;
  /** (cells) mm2 of surface per cell */
  areaMm2: Float32Array;
}>;

export function fineLight({ aligned, afterRelit }: RelitPair): FineLight {
  const { map, notSkin, before: face } = aligned;
  const cells = map.width * map.height;
  const out = {
    before: new Float32Array(cells).fill(Number.NaN),
    after: new Float32Array(cells).fill(Number.NaN),
    zone: new Int8Array(cells).fill(-1),
    areaMm2: new Float32Array(cells),
  };
  const { width, data } = face.photo;
  const s = map.stride;
  for (let j = 0, cell = 0; j < map.height; j++) {
    for (let i = 0; i < map.width; i++, cell++) {
      if (map.triangle[cell] < 0) continue;
      out.zone[cell] = zoneIndexOfPoint(map.uv[2 * cell], map.uv[2 * cell + 1]);
      out.areaMm2[cell] = ((s * map.depthMm[cell]) / face.head.focalPx) ** 2 / Math.max(0.2, map.normal[3 * cell + 2]);
      if (notSkin[cell]) continue;
      const sums = [0, 0, 0, 0, 0, 0];
      for (let y = j * s; y < (j + 1) * s; y++) {
        for (let x = i * s, p = 3 * (y * width + x); x < (i + 1) * s; x++, p += 3) {
          for (let c = 0; c < 3; c++) {
            sums[c] += data[p + c];
            sums[3 + c] += afterRelit[p + c];
          }
        }
      }
      const n = s * s;
      out.before[cell] = labD65OfLinearSrgb(sums[0] / n, sums[1] / n, sums[2] / n)[0];
      out.after[cell] = labD65OfLinearSrgb(sums[3] / n, sums[4] / n, sums[5] / n)[0];
      if (Number.isNaN(out.after[cell])) out.before[cell] = Number.NaN;
    }
  }
  return out;
}
