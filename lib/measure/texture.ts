/**
 * Surface texture in two bands: fine lines, and the crêpe of skin that lost its filling.
 *
 * Model   variance of band-passed log luminance over the zone, after over before, divided by the same quotient on the reference
 *         zones: focus, noise and the blur of resampling act on all zones alike and drop out.
 *         Differences of Gaussians; the bands peak at wavelengths of about 1.1 mm and 4.1 mm
 *         (peak k^2 = 2 ln(s2^2 / s1^2) / (s2^2 - s1^2)).
 * Error   scatter of the log quotient between patches of the zone and between patches of the references.
 */
import { luminanceFromLinearSrgb } from '#lib/colour/luminance.ts';
import type { RelitPair } from '#lib/light/relight.ts';
import { gaussianBlur, type Raster } from '#lib/photo/raster.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import type { FineLight } from './fine-light.ts';
import type { Reading, Readings } from './reading.ts';

const BANDS = { textureFineRatio: [0.12, 0.4], textureCoarseRatio: [0.4, 1.6] } as const;
export type TextureBand = keyof typeof BANDS;
/** Map cells per patch side (0.8 mm each). */
const PATCH_CELLS = 8;
const FEWEST_PATCHES = 3;
/** Cells around the zones that the widest blur may look at. */
const RIM_CELLS = 6;
/** Linear luminance under which the logarithm would show noise as texture. */
const DARK = 0.004;

export type TextureContext = Readonly<
  Record<TextureBand, Readonly<{ logRatios: ReadonlyMap<ZoneId, readonly number[]>; reference: number; uReference: number }>>
>;

export function textureContext(view: RelitPair, light: FineLight, references: readonly ZoneId[]): TextureContext {
  const box = boxOfZones(view, light);
  const [before, after] = [view.aligned.before.photo.data, view.afterRelit].map((data) =>
    bandsOf(logLuminance(data, view.aligned.before.photo.width, box), view.aligned.mmPerPx),
  );
  const band = (id: TextureBand) => {
    const logRatios = patchRatios(view, light, before[id], after[id], box);
    const values = references.flatMap((zone) => logRatios.get(zone) ?? []);
    const { mean, u } = meanOf(values);
    return { logRatios, reference: values.length ? mean : 0, uReference: values.length >= FEWEST_PATCHES ? u : 0.2 };
  };
  return { textureFineRatio: band('textureFineRatio'), textureCoarseRatio: band('textureCoarseRatio') };
}

/** Both bands of a log luminance; they share the blur between them. */
function bandsOf(log: Raster, mmPerPx: number): Record<TextureBand, Raster> {
  const [fine, between, coarse] = [BANDS.textureFineRatio[0], BANDS.textureFineRatio[1], BANDS.textureCoarseRatio[1]].map((mm) =>
    gaussianBlur(log, mm / mmPerPx),
  );
  const less = (a: Raster, b: Raster): Raster => ({ ...a, data: a.data.map((value, i) => value - b.data[i]) });
  return { textureFineRatio: less(fine, between), textureCoarseRatio: less(between, coarse) };
}

type Box = Readonly<{ x: number; y: number; width: number; height: number }>;

/** The part of the photograph that zones lie in, px, with a rim for the blurs. */
function boxOfZones({ aligned }: RelitPair, light: FineLight): Box {
  const { map, before } = aligned;
  let [left, right, top, bottom] = [map.width, 0, map.height, 0];
  light.zone.forEach((zone, k) => {
    if (zone < 0) return;
    left = Math.min(left, k % map.width);
    right = Math.max(right, k % map.width);
    top = Math.min(top, Math.floor(k / map.width));
    bottom = Math.max(bottom, Math.floor(k / map.width));
  });
  const x = Math.max(0, (left - RIM_CELLS) * map.stride);
  const y = Math.max(0, (top - RIM_CELLS) * map.stride);
  return {
    x,
    y,
    width: Math.max(1, Math.min(before.photo.width, (right + 1 + RIM_CELLS) * map.stride) - x),
    height: Math.max(1, Math.min(before.photo.height, (bottom + 1 + RIM_CELLS) * map.stride) - y),
  };
}

export function zoneTexture(context: TextureContext, zone: ZoneId): Readings {
  const out: Readings = {};
  for (const id of Object.keys(BANDS) as TextureBand[]) {
    const values = context[id].logRatios.get(zone) ?? [];
    if (values.length < FEWEST_PATCHES) continue;
    const { mean, u } = meanOf(values);
    const log = mean - context[id].reference;
    const uLog = Math.hypot(u, context[id].uReference);
    const value = Math.exp(log);
    const reading: Reading = { value, u: value * uLog, uNull: uLog, rest: 1 };
    out[id] = reading;
  }
  return out;
}

function patchRatios(view: RelitPair, light: FineLight, before: Raster, after: Raster, box: Box): Map<ZoneId, number[]> {
  const { map } = view.aligned;
  const out = new Map<ZoneId, number[]>();
  const s = map.stride;
  for (let J = 0; J + PATCH_CELLS <= map.height; J += PATCH_CELLS) {
    for (let I = 0; I + PATCH_CELLS <= map.width; I += PATCH_CELLS) {
      const sums = new Map<number, [b: number, a: number, n: number]>();
      for (let j = J; j < J + PATCH_CELLS; j++) {
        for (let i = I; i < I + PATCH_CELLS; i++) {
          const cell = j * map.width + i;
          if (light.zone[cell] < 0 || Number.isNaN(light.before[cell])) continue;
          const sum = sums.get(light.zone[cell]) ?? [0, 0, 0];
          for (let y = j * s; y < (j + 1) * s; y++)
            for (let x = i * s; x < (i + 1) * s; x++) {
              const p = (y - box.y) * before.width + x - box.x;
              sum[0] += before.data[p] ** 2;
              sum[1] += after.data[p] ** 2;
            }
          sum[2]++;
          sums.set(light.zone[cell], sum);
        }
      }
      for (const [zone, [b, a, n]] of sums) {
        if (n < (PATCH_CELLS * PATCH_CELLS) / 3 || !(a > 0 && b > 0)) continue;
        const id = ZONE_IDS[zone];
        out.set(id, [...(out.get(id) ?? []), Math.log(a / b)]);
      }
    }
  }
  return out;
}

/** Log luminance of the box; where the after photograph shows nothing the values are NaN and are set to the dark end, which zones never reach. */
function logLuminance(data: Float32Array, widthPx: number, box: Box): Raster {
  const out = new Float32Array(box.width * box.height);
  for (let y = 0, i = 0; y < box.height; y++) {
    for (let x = 0, p = 3 * ((y + box.y) * widthPx + box.x); x < box.width; x++, i++, p += 3) {
      const luminance = luminanceFromLinearSrgb(data[p], data[p + 1], data[p + 2]);
      out[i] = Math.log((luminance > 0 ? luminance : 0) + DARK);
    }
  }
  return { width: box.width, height: box.height, channels: 1, data: out };
}

/** Mean of log ratios without the wildest tenth at either end, and the standard error of that mean. */
function meanOf(values: readonly number[]): { mean: number; u: number } {
  const sorted = [...values].sort((a, b) => a - b);
  const cut = Math.floor(sorted.length / 10);
  const kept = sorted.slice(cut, sorted.length - cut);
  const mean = kept.reduce((s, v) => s + v, 0) / Math.max(1, kept.length);
  const variance = kept.reduce((s, v) => s + (v - mean) ** 2, 0) / Math.max(1, kept.length - 1);
  return { mean, u: Math.sqrt(variance / Math.max(1, kept.length)) };
}
