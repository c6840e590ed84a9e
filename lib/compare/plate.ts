/** One view of a measured pair as rasters on one grid, for pages and reports. */
import { srgb8RasterFromLinear } from '#lib/colour/srgb.ts';
import { zoneLoop } from '#lib/face/zone-map.ts';
import type { RelitPair } from '#lib/light/relight.ts';
import type { FineLight } from '#lib/measure/fine-light.ts';
import type { Measures } from '#lib/measure/measure-zones.ts';
import { displacementAt } from '#lib/measure/volume.ts';
import { gaussianBlur } from '#lib/photo/raster.ts';
import type { Plate } from '#shared/plates.ts';
import type { ZoneId } from '#shared/zones.ts';

/** The lightness map is shown smoothed over so many mm, so that it shows zones and not pores. */
const SHOWN_MM = 1.6;
/** A zone is outlined when at least this share of it was seen. */
const OUTLINED = 0.05;

export function plateOf(view: RelitPair, fine: FineLight, measures: Measures, drift: number): Plate {
  const { aligned, cells } = view;
  const { width, height, data } = aligned.before.photo;
  const { map } = aligned;

  const field = new Float32Array(cells.width * cells.height).fill(Number.NaN);
  const trust = new Float32Array(cells.width * cells.height);
  const trusts = measures.fit.trust[measures.fine.indexOf(fine)];
  cells.at.forEach((cell, k) => {
    if (cells.zone[k] < 0) return;
    field[cell] = displacementAt(measures.fit, aligned.surface, cells.headMm[3 * k], cells.headMm[3 * k + 1], cells.headMm[3 * k + 2]);
    trust[cell] = trusts[k];
  });
  const zoneCells = Int8Array.from(fine.zone);
  const shown = { width, height };
  return {
    view: aligned.view,
    width,
    height,
    mmPerPx: aligned.mmPerPx,
    before: srgb8RasterFromLinear(data),
    afterAligned: srgb8RasterFromLinear(withoutGaps(aligned.afterAligned.data)),
    afterRelit: srgb8RasterFromLinear(withoutGaps(view.afterRelit)),
    displacementMm: enlarge(field, cells.width, cells.height, cells.stride, shown),
    lightnessDelta: enlarge(
      smoothed(fine, map.width, map.height, SHOWN_MM / (map.stride * aligned.mmPerPx), drift),
      map.width,
      map.height,
      map.stride,
      shown,
    ),
    zoneIndex: nearest(zoneCells, map.width, map.height, map.stride, shown),
    trust: Uint8Array.from(enlarge(trust, cells.width, cells.height, cells.stride, shown), (t) => Math.round(255 * t)),
    zoneOutlines: outlines(aligned.before.landmarks, measures),
  };
}

function outlines(landmarks: Float64Array, measures: Measures): Partial<Record<ZoneId, number[][]>> {
  const out: Partial<Record<ZoneId, number[][]>> = {};
  measures.zones.forEach(({ zone, seen }) => {
    if (seen < OUTLINED) return;
    const loop = zoneLoop(zone, landmarks, 0.02);
    const flat: number[] = [];
    for (let i = 0; i < loop.length; i += 3) flat.push(Math.round(loop[i] * 10) / 10, Math.round(loop[i + 1] * 10) / 10);
    out[zone] = [flat];
  });
  return out;
}

/** After less before, relative to the references, blurred over skin only. */
function smoothed(fine: FineLight, width: number, height: number, sigma: number, drift: number): Float32Array {
  const value = new Float32Array(width * height),
    weight = new Float32Array(width * height);
  fine.before.forEach((before, k) => {
    if (fine.zone[k] < 0 || Number.isNaN(before)) return;
    value[k] = fine.after[k] - before - drift;
    weight[k] = 1;
  });
  const [top, bottom] = [value, weight].map((data) => gaussianBlur({ width, height, channels: 1, data }, sigma).data);
  return value.map((_, k) => (weight[k] ? top[k] / bottom[k] : Number.NaN));
}

/** Cells to pixels, linear between the centres of cells that have a value; NaN where the nearest cell has none. */
function enlarge(
  values: Float32Array,
  columns: number,
  rows: number,
  stride: number,
  { width, height }: { width: number; height: number },
): Float32Array {
  const out = new Float32Array(width * height);
  for (let y = 0; y < height; y++) {
    const v = Math.min(Math.max((y + 0.5) / stride - 0.5, 0), rows - 1);
    const j = Math.min(rows - 2, Math.floor(v)),
      g = v - j;
    for (let x = 0; x < width; x++) {
      const u = Math.min(Math.max((x + 0.5) / stride - 0.5, 0), columns - 1);
      const i = Math.min(columns - 2, Math.floor(u)),
        f = u - i;
      const p = j * columns + i;
      if (Number.isNaN(values[p + (f > 0.5 ? 1 : 0) + (g > 0.5 ? columns : 0)])) {
        out[y * width + x] = Number.NaN;
        continue;
      }
      let sum = 0,
        total = 0;
      for (let k = 0; k < 4; k++) {
        const value = values[p + (k & 1) + (k >> 1) * columns];
        if (Number.isNaN(value)) continue;
        const w = (k & 1 ? f : 1 - f) * (k >> 1 ? g : 1 - g);
        sum += w * value;
        total += w;
      }
      out[y * width + x] = sum / total;
    }
  }
  return out;
}

function nearest(
  values: Int8Array,
  columns: number,
  rows: number,
  stride: number,
  { width, height }: { width: number; height: number },
): Int8Array {
  const out = new Int8Array(width * height);
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++)
      out[y * width + x] = values[Math.min(rows - 1, Math.floor(y / stride)) * columns + Math.min(columns - 1, Math.floor(x / stride))];
  return out;
}

/** Where the after photograph shows nothing, mid-grey. */
const withoutGaps = (data: Float32Array): Float32Array => data.map((value) => (Number.isNaN(value) ? 0.214 : value));
