/**
 * The plainest line that crosses a patch of skin from its left side to its right.
 *
 * Frame   patch, cells: x right, y down. Values are the natural logarithm of linear light, so a contrast is a share of brightness.
 * Model   a cell lies on a line when it is darker, or brighter, than the skin above it and the skin below it; how much, by the nearer of the
 *         two, is its contrast, for the best of several widths. Of all paths that go right cell by cell and never steeper than
 *         45 degrees, the one with most contrast is found by dynamic programming; beyond CAP contrast counts for little, so a gap is not
 *         bought with a glint. The line is worth what its weaker parts are worth.
 */
import { quantile } from '#lib/stats/quantile.ts';

export type Patch = Readonly<{
  width: number;
  height: number;
  /** (height, width) natural logarithm of light. */
  data: Float32Array;
  cellMm: number;
}>;

export type LineAcross = Readonly<{
  /** Contrast that four fifths of the line reach, as a difference of logarithms. */
  contrast: number;
  /** (width) row of the line in each column. */
  rows: Int32Array;
}>;

/** Half widths of lines, mm: wire to thick frames. */
const HALF_WIDTHS_MM = [0.4, 0.8, 1.4, 2.2] as const;
/** Skin beside the line is looked at over this much, beginning this far from it, mm. */
const BESIDE_MM = 1;
const GAP_MM = 0.5;
const CAP = 0.35;
const BEYOND_CAP = 0.1;
/** Going up or down by a cell costs this much contrast. */
const BEND_COST = 0.01;
const WEAKER = 0.2;

/** What a patch must show above and below the rows of the line, mm: half the thickest line and the skin beside it. */
export const BESIDE_LINE_MM = HALF_WIDTHS_MM[3] + GAP_MM + BESIDE_MM;

/** The line stays BESIDE_LINE_MM from the upper and lower side. Throws a RangeError for a patch too low to hold one. */
export function lineAcross(patch: Patch): LineAcross {
  const { width, height } = patch;
  const contrast = lineContrast(patch);
  const margin = Math.ceil(BESIDE_LINE_MM / patch.cellMm);
  if (height <= 2 * margin) throw new RangeError(`a patch of ${height} rows cannot hold a line with skin on both sides`);
  let best = new Float64Array(height).fill(-Infinity);
  const from = new Int8Array(width * height);
  for (let y = margin; y < height - margin; y++) best[y] = worth(contrast[y * width]);
  for (let x = 1; x < width; x++) {
    const next = new Float64Array(height).fill(-Infinity);
    for (let y = margin; y < height - margin; y++) {
      let step = 0;
      for (const other of [-1, 1]) if (best[y + other] - BEND_COST > best[y + step] - (step === 0 ? 0 : BEND_COST)) step = other;
      from[y * width + x] = step;
      next[y] = best[y + step] - (step === 0 ? 0 : BEND_COST) + worth(contrast[y * width + x]);
    }
    best = next;
  }
  const rows = new Int32Array(width);
  rows[width - 1] = best.reduce((top, value, y) => (value > best[top] ? y : top), margin);
  for (let x = width - 1; x > 0; x--) rows[x - 1] = rows[x] + from[rows[x] * width + x];
  return {
    contrast: quantile(
      Array.from(rows, (y, x) => contrast[y * width + x]),
      WEAKER,
    ),
    rows,
  };
}

const worth = (contrast: number): number => Math.min(CAP, contrast) + BEYOND_CAP * Math.max(0, contrast - CAP);

/** (height, width) contrast of the best line through each cell, 0 where it is a slope or plain. */
function lineContrast({ width, height, data, cellMm }: Patch): Float32Array {
  const out = new Float32Array(width * height);
  const sums = new Float64Array(height + 1);
  for (let x = 0; x < width; x++) {
    const left = Math.max(0, x - 1);
    const right = Math.min(width - 1, x + 1);
    for (let y = 0; y < height; y++) sums[y + 1] = sums[y] + (data[y * width + left] + data[y * width + x] + data[y * width + right]) / 3;
    const mean = (a: number, b: number): number => (sums[b] - sums[a]) / (b - a);
    for (const halfMm of HALF_WIDTHS_MM) {
      const half = Math.round(halfMm / cellMm);
      const gap = half + Math.max(1, Math.round(GAP_MM / cellMm));
      const far = gap + Math.max(1, Math.round(BESIDE_MM / cellMm));
      for (let y = far; y + far < height; y++) {
        const own = mean(y - half, y + half + 1);
        const above = own - mean(y - far, y - gap);
        const below = own - mean(y + gap + 1, y + far + 1);
        if (above * below > 0) out[y * width + x] = Math.max(out[y * width + x], Math.min(Math.abs(above), Math.abs(below)));
      }
    }
  }
  return out;
}
