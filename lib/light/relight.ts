/**
 * The after photograph under the light of the before photograph.
 *
 * Model   per channel: log ratio of the skin cells fitted by light terms; the after picture is divided by that ratio. What the
 *         terms can't say stays in the picture: it is change of the face, or misfit, and `misfit` says how much.
 */
import type { AlignedPair } from '#lib/align/align-pair.ts';
import { luminanceFromLinearSrgb } from '#lib/colour/luminance.ts';
import type { ZoneId } from '#shared/zones.ts';
import { ZONE_IDS } from '#shared/zones.ts';
import { fitRatio, type RatioFit } from './fit-ratio.ts';
import { imageFrame, LIGHT_TERMS, lightTermsInto } from './light-basis.ts';
import { type SkinCells, skinCells } from './skin-cells.ts';

/** Outside the reference zones skin may have changed, so it counts less towards the light. */
const TRUST_ELSEWHERE = 0.7;
/** Lips and their corners move; treated zones are under suspicion. */
const TRUST_SUSPECT = 0.35;

export type RelitPair = Readonly<{
  stage: 'relit';
  aligned: AlignedPair;
  cells: SkinCells;
  /** Fits of log luminance and of the three channels. */
  luminance: RatioFit;
  channels: readonly [RatioFit, RatioFit, RatioFit];
  /** (count, 3) mean linear RGB of the after cells under the before light */
  relit: Float64Array;
  /** Linear RGB, size of the before photograph; NaN where there is none. */
  afterRelit: Float32Array;
  exposureRatio: number;
}>;

export function relightPair(aligned: AlignedPair, references: readonly ZoneId[], suspects: readonly ZoneId[]): RelitPair {
  const cells = skinCells(aligned);
  const trust = Float64Array.from(cells.zone, (zone) => {
    const id = ZONE_IDS[zone];
    return references.includes(id) ? 1 : suspects.includes(id) ? TRUST_SUSPECT : TRUST_ELSEWHERE;
  });
  const logRatio = (of: (rgb: Float64Array, k: number) => number): Float64Array =>
    Float64Array.from({ length: cells.count }, (_, k) => Math.log(of(cells.after, k) / of(cells.before, k)));
  const luminance = fitRatio(
    cells,
    logRatio((rgb, k) => luminanceFromLinearSrgb(rgb[3 * k], rgb[3 * k + 1], rgb[3 * k + 2])),
    trust,
  );
  const channels = [0, 1, 2].map((c) =>
    fitRatio(
      cells,
      logRatio((rgb, k) => rgb[3 * k + c]),
      trust,
    ),
  ) as unknown as [RatioFit, RatioFit, RatioFit];
  const relit = Float64Array.from(cells.after, (value, i) => {
    const k = Math.floor(i / 3),
      fit = channels[i % 3];
    return value * Math.exp(fit.residual[k] - Math.log(cells.after[i] / cells.before[i]));
  });
  return {
    stage: 'relit',
    aligned,
    cells,
    luminance,
    channels,
    relit,
    afterRelit: relitRaster(aligned, cells, channels),
    exposureRatio: exposure(cells),
  };
}

function exposure(cells: SkinCells): number {
  let [b, a] = [0, 0];
  for (let k = 0; k < cells.count; k++) {
    b += luminanceFromLinearSrgb(cells.before[3 * k], cells.before[3 * k + 1], cells.before[3 * k + 2]);
    a += luminanceFromLinearSrgb(cells.after[3 * k], cells.after[3 * k + 1], cells.after[3 * k + 2]);
  }
  return a / b;
}

/** Gains on the map's cells, carried outwards past the face, then applied to every pixel by linear interpolation. */
function relitRaster(aligned: AlignedPair, cells: SkinCells, channels: readonly RatioFit[]): Float32Array {
  const { map } = aligned;
  const frame = imageFrame(cells);
  const perCell = map.stride / cells.stride;
  const gain = new Float32Array(map.width * map.height * 3);
  const known = new Uint8Array(map.width * map.height);
  const terms = new Float64Array(LIGHT_TERMS);
  const mean = [0, 0, 0];
  let count = 0;
  for (let k = 0; k < known.length; k++) {
    if (map.triangle[k] < 0) continue;
    const x = ((k % map.width) + 0.5) * perCell - 0.5,
      y = (Math.floor(k / map.width) + 0.5) * perCell - 0.5;
    lightTermsInto(
      terms,
      0,
      map.normal[3 * k],
      map.normal[3 * k + 1],
      map.normal[3 * k + 2],
      x * frame.step - frame.x,
      y * frame.step - frame.y,
    );
    for (let c = 0; c < 3; c++) {
      let sum = 0;
      for (let a = 0; a < LIGHT_TERMS; a++) sum += terms[a] * channels[c].terms[a];
      gain[3 * k + c] = -sum;
      mean[c] -= sum;
    }
    known[k] = 1;
    count++;
  }
  for (let c = 0; c < 3; c++) mean[c] /= Math.max(1, count);
  spreadOutwards(gain, known, map.width, map.height, mean);
  for (let i = 0; i < gain.length; i++) gain[i] = Math.exp(gain[i]);

  const { width, height, data } = aligned.afterAligned;
  const out = new Float32Array(data.length);
  // Rows of gains are blended first, columns after.
  const blended = new Float32Array(3 * map.width);
  for (let y = 0; y < height; y++) {
    const v = Math.min(Math.max((y + 0.5) / map.stride - 0.5, 0), map.height - 1.001);
    const upper = 3 * Math.floor(v) * map.width;
    const lower = upper + 3 * map.width;
    const g = v - Math.floor(v);
    for (let n = 0; n < blended.length; n++) blended[n] = gain[upper + n] + g * (gain[lower + n] - gain[upper + n]);
    for (let x = 0, o = 3 * y * width; x < width; x++, o += 3) {
      const u = Math.min(Math.max((x + 0.5) / map.stride - 0.5, 0), map.width - 1.001);
      const i = Math.floor(u);
      const f = u - i;
      const p = 3 * i;
      out[o] = data[o] * (blended[p] + f * (blended[p + 3] - blended[p]));
      out[o + 1] = data[o + 1] * (blended[p + 1] + f * (blended[p + 4] - blended[p + 1]));
      out[o + 2] = data[o + 2] * (blended[p + 2] + f * (blended[p + 5] - blended[p + 2]));
    }
  }
  return out;
}

/** Carries values from known cells outwards, ring by ring, fading to the mean over 40 cells, so that hair and ground show no seam. */
function spreadOutwards(gain: Float32Array, known: Uint8Array, width: number, height: number, mean: readonly number[]): void {
  let front: number[] = [];
  known.forEach((is, k) => is && front.push(k));
  const fade = 0.97;
  while (front.length) {
    const sums = new Map<number, [number, number, number, number]>();
    for (const k of front) {
      const i = k % width;
      for (const n of [i > 0 ? k - 1 : -1, i + 1 < width ? k + 1 : -1, k - width, k + width]) {
        if (n < 0 || n >= width * height || known[n]) continue;
        const s = sums.get(n) ?? [0, 0, 0, 0];
        for (let c = 0; c < 3; c++) s[c] += gain[3 * k + c];
        s[3]++;
        sums.set(n, s);
      }
    }
    front = [];
    for (const [n, s] of sums) {
      for (let c = 0; c < 3; c++) gain[3 * n + c] = mean[c] + fade * (s[c] / s[3] - mean[c]);
      known[n] = 1;
      front.push(n);
    }
  }
}
