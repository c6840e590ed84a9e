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
import { bandPass, type Raster } from '#lib/photo/raster.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import type { FineLight } from './fine-light.ts';
import type { Reading, Readings } from './reading.ts';

const BANDS = { textureFineRatio: [0.12, 0.4], textureCoarseRatio: [0.4, 1.6] } as const;
export type TextureBand = keyof typeof BANDS;
/** Map cells per patch side (0.8 mm each). */
const PATCH_CELLS = 8;
const FEWEST_PATCHES = 3;

export type TextureContext = Readonly<
  Record<TextureBand, Readonly<{ logRatios: ReadonlyMap<ZoneId, readonly number[]>; reference: number; uReference: number }>>
>;

export function textureContext(view: RelitPair, light: FineLight, references: readonly ZoneId[]): TextureContext {
  const logs = [logLuminance(view.aligned.before.photo.data, view), logLuminance(view.afterRelit, view)];
  const band = (id: TextureBand) => {
    const [fine, coarse] = BANDS[id].map((mm) => mm / view.aligned.mmPerPx);
    const [before, after] = logs.map((image) => bandPass(image, fine, coarse));
    const logRatios = patchRatios(view, light, before, after);
    const values = references.flatMap((zone) => logRatios.get(zone) ?? []);
    const { mean, u } = meanOf(values);
    return { logRatios, reference: values.length ? mean : 0, uReference: values.length >= FEWEST_PATCHES ? u : 0.2 };
  };
  return { textureFineRatio: band('textureFineRatio'), textureCoarseRatio: band('textureCoarseRatio') };
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

function patchRatios(view: RelitPair, light: FineLight, before: Raster, after: Raster): Map<ZoneId, number[]> {
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
              const p = y * before.width + x;
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

/** Log luminance; outside the after photograph the values are NaN and are set to a flat zero, which the zones never reach. */
function logLuminance(data: Float32Array, view: RelitPair): Raster {
  const { width, height } = view.aligned.before.photo;
  const out = new Float32Array(width * height);
  for (let i = 0; i < out.length; i++) {
    const y = luminanceFromLinearSrgb(data[3 * i], data[3 * i + 1], data[3 * i + 2]);
    out[i] = y > 0 ? Math.log(y + 0.004) : Math.log(0.004);
  }
  return { width, height, channels: 1, data: out };
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
