/**
 * Both photographs as means over small cells of skin: what light, colour and displacement are estimated from.
 *
 * Frame   before photograph; a cell is about 1.6 mm wide. Normals in the viewer frame, places in the before head frame (mm).
 * Model   means of linear light over the pixels that both photographs show unclipped, and that neither pore, hair nor a small
 *         highlight makes stand out of its surroundings in either. A pixel left out is left out of both, so no bias enters.
 */
import type { AlignedPair } from '#lib/align/align-pair.ts';
import { surfaceMap } from '#lib/align/surface-map.ts';
import { luminanceFromLinearSrgb } from '#lib/colour/luminance.ts';
import { zoneIndexOfPoint } from '#lib/face/zone-map.ts';

/** Map cells per skin cell and side. */
const COARSER = 2;
/** Linear values outside this range are clipped or close to it (sRGB codes 5 and 250). */
const LEAST = 0.0015,
  MOST = 0.957;
/** A pixel this much brighter or darker than its cell's surroundings is a highlight, a hair or a hole. */
const STANDS_OUT = 0.22;
/** Share of a cell's pixels that must count. */
const COVERAGE_LEAST = 0.4;

export type SkinCells = Readonly<{
  /** Grid of cells, `stride` px each. */
  width: number;
  height: number;
  stride: number;
  /** Cells that count. */
  count: number;
  /** (count) place in the grid */
  at: Int32Array;
  /** (count, 3) mean linear RGB */
  before: Float64Array;
  after: Float64Array;
  /** (count, 3) */
  normal: Float64Array;
  headMm: Float64Array;
  /** (count, 2) */
  uv: Float64Array;
  /** (count) index in ZONE_IDS or -1 */
  zone: Int8Array;
  /** (count) mm2 of surface that the cell shows */
  areaMm2: Float64Array;
  /** (count) share of the cell's pixels that counted */
  coverage: Float64Array;
  /** (width * height) mm towards the viewer of the whole fitted face, eyes and brows included; -Infinity where no surface */
  heightMm: Float32Array;
  /** mm per cell side at the face's mean depth */
  mmPerCell: number;
}>;

export function skinCells(pair: AlignedPair): SkinCells {
  const stride = pair.map.stride * COARSER;
  const { width: widthPx, height: heightPx, data: before } = pair.before.photo;
  const after = pair.afterAligned.data;
  const map = surfaceMap(pair.surface, pair.before.head, widthPx, heightPx, stride);
  const { width, height } = map;
  const sums = new Float64Array(width * height * 7);
  const luminances = [new Float32Array(width * height), new Float32Array(width * height)];

  for (const pass of [0, 1]) {
    sums.fill(0);
    for (let j = 0; j < height; j++) {
      for (let i = 0; i < width; i++) {
        const cell = j * width + i;
        if (map.triangle[cell] < 0) continue;
        const s = 7 * cell;
        const middleB = luminances[0][cell],
          middleA = luminances[1][cell];
        if (pass === 1 && !(middleB > 0)) continue;
        for (let y = j * stride; y < (j + 1) * stride; y++) {
          const skinRow = Math.min(pair.map.height - 1, Math.floor(y / pair.map.stride)) * pair.map.width;
          for (let x = i * stride, p = 3 * (y * widthPx + x); x < (i + 1) * stride; x++, p += 3) {
            if (pair.notSkin[skinRow + Math.min(pair.map.width - 1, Math.floor(x / pair.map.stride))]) continue;
            const rb = before[p],
              gb = before[p + 1],
              bb = before[p + 2];
            const ra = after[p],
              ga = after[p + 1],
              ba = after[p + 2];
            // NaN (outside the after photograph) fails every comparison and so drops out here.
            if (
              !(
                rb < MOST &&
                gb < MOST &&
                bb < MOST &&
                ra < MOST &&
                ga < MOST &&
                ba < MOST &&
                gb > LEAST &&
                ga > LEAST &&
                rb > LEAST &&
                ra > LEAST
              )
            )
              continue;
            if (pass === 1) {
              if (Math.abs(luminanceFromLinearSrgb(rb, gb, bb) / middleB - 1) > STANDS_OUT) continue;
              if (Math.abs(luminanceFromLinearSrgb(ra, ga, ba) / middleA - 1) > STANDS_OUT) continue;
            }
            sums[s] += rb;
            sums[s + 1] += gb;
            sums[s + 2] += bb;
            sums[s + 3] += ra;
            sums[s + 4] += ga;
            sums[s + 5] += ba;
            sums[s + 6]++;
          }
        }
      }
    }
    if (pass === 0) surroundings(sums, width, height, luminances);
  }

  const least = COVERAGE_LEAST * stride * stride;
  const kept: number[] = [];
  for (let cell = 0; cell < width * height; cell++)
    if (map.triangle[cell] >= 0 && sums[7 * cell + 6] >= least && map.normal[3 * cell + 2] > 0.25) kept.push(cell);
  const pick = (source: ArrayLike<number>, dims: number): Float64Array =>
    Float64Array.from({ length: kept.length * dims }, (_, k) => source[kept[Math.floor(k / dims)] * dims + (k % dims)]);
  const mean = (first: number): Float64Array =>
    Float64Array.from({ length: kept.length * 3 }, (_, k) => {
      const s = 7 * kept[Math.floor(k / 3)];
      return Math.max(1e-4, sums[s + first + (k % 3)] / sums[s + 6]);
    });
  const uv = pick(map.uv, 2);
  return {
    width,
    height,
    stride,
    count: kept.length,
    at: Int32Array.from(kept),
    before: mean(0),
    after: mean(3),
    normal: pick(map.normal, 3),
    headMm: pick(map.headMm, 3),
    uv,
    zone: Int8Array.from({ length: kept.length }, (_, k) => zoneIndexOfPoint(uv[2 * k], uv[2 * k + 1])),
    areaMm2: Float64Array.from(
      kept,
      (cell) => ((stride * map.depthMm[cell]) / pair.before.head.focalPx) ** 2 / Math.max(0.2, map.normal[3 * cell + 2]),
    ),
    coverage: Float64Array.from(kept, (cell) => sums[7 * cell + 6] / (stride * stride)),
    heightMm: map.depthMm.map((depth) => -depth),
    mmPerCell: stride * pair.mmPerPx,
  };
}

/** Mean luminance of each cell and its eight neighbours, for both photographs. */
function surroundings(sums: Float64Array, width: number, height: number, out: readonly Float32Array[]): void {
  for (let j = 0; j < height; j++) {
    for (let i = 0; i < width; i++) {
      let [b, a, n] = [0, 0, 0];
      for (let y = Math.max(0, j - 1); y <= Math.min(height - 1, j + 1); y++) {
        for (let x = Math.max(0, i - 1); x <= Math.min(width - 1, i + 1); x++) {
          const s = 7 * (y * width + x);
          b += luminanceFromLinearSrgb(sums[s], sums[s + 1], sums[s + 2]);
          a += luminanceFromLinearSrgb(sums[s + 3], sums[s + 4], sums[s + 5]);
          n += sums[s + 6];
        }
      }
      out[0][j * width + i] = n ? b / n : 0;
      out[1][j * width + i] = n ? a / n : 0;
    }
  }
}
