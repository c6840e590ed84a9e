/**
 * Which pixels to cut from a picture and what whole size to shrink them to, so that the wanted crop comes out at the wanted
 * scale, and where it lies is known to a few hundredths of a px.
 *
 * The codec only makes whole sizes from whole pixels. So the cut is made a little larger than the crop, by as much as
 * makes its size times the scale a whole number, as nearly as can be, on each axis by itself.
 */
import type { Size } from './orientation.ts';
import type { Crop } from './types.ts';

export type ShrinkPlan = Readonly<{
  /** Whole px of the original, shrunk as one. */
  cut: Crop;
  /** What the cut becomes. */
  working: Size;
  /** The part of `working` that is wanted. */
  window: Crop;
  /** Working px per original px, for both axes. */
  scale: number;
}>;

/** original = (working + offset) / scale */
export type Placement = Readonly<{ scale: number; offsetX: number; offsetY: number }>;

/** How many working px the cut may grow, and shrink at the border of the picture, to meet the scale. */
const GROW_PX = 24;
const GIVE_UP_PX = 8;
/** A miss over the whole cut, in original px, that is as good as none: half of it is seen at the cut's edges, none at its centre. */
const EXACT_PX = 0.04;
/** Where no cut meets the scale that well, scales near it are tried, up to so many steps away on either side. */
const SCALE_STEP = 1e-4;
const SCALE_STEPS = 20;

/** The part of `crop` inside the picture, or null when they do not meet. */
export function clampedCrop(crop: Crop, size: Size): Crop | null {
  const left = Math.max(0, crop.x);
  const top = Math.max(0, crop.y);
  const width = Math.min(size.width, crop.x + crop.width) - left;
  const height = Math.min(size.height, crop.y + crop.height) - top;
  return width > 0 && height > 0 ? { x: left, y: top, width, height } : null;
}

/** A cut that covers `crop` (px of `size`, inside it) at `scale`, 0 < scale <= 1, or one that differs by at most 0.2 %. */
export function planOfCut(crop: Crop, size: Size, scale: number): ShrinkPlan {
  let best = cutAt(crop, size, scale);
  for (let step = 1; step <= SCALE_STEPS && best.miss > EXACT_PX; step++) {
    for (const near of [scale * (1 - step * SCALE_STEP), Math.min(1, scale * (1 + step * SCALE_STEP))]) {
      const other = cutAt(crop, size, near);
      if (other.miss < best.miss) best = other;
    }
  }
  return best.plan;
}

function cutAt(crop: Crop, size: Size, scale: number): { plan: ShrinkPlan; miss: number } {
  const [x, width, workingWidth] = axisCut(crop.x, crop.width, size.width, scale);
  const [y, height, workingHeight] = axisCut(crop.y, crop.height, size.height, scale);
  const working = { width: workingWidth, height: workingHeight };
  const miss = Math.max(Math.abs(width - workingWidth / scale), Math.abs(height - workingHeight / scale));
  return { plan: { cut: { x, y, width, height }, working, window: { x: 0, y: 0, ...working }, scale }, miss };
}

/** The whole picture shrunk to `working`, and the window of it that covers `crop`. */
export function planOfWhole(crop: Crop, size: Size, working: Size): ShrinkPlan {
  const [x, width] = span(crop.x, crop.width, working.width / size.width, working.width);
  const [y, height] = span(crop.y, crop.height, working.height / size.height, working.height);
  return { cut: { x: 0, y: 0, ...size }, working, window: { x, y, width, height }, scale: working.width / size.width };
}

/** Where the window of a plan lies; exact at the window's centre. */
export function placementOf({ cut, working, window, scale }: ShrinkPlan): Placement {
  const offset = (cutAt: number, cutLength: number, shrunk: number, start: number, length: number): number => {
    const centre = cutAt + ((start + length / 2) * cutLength) / shrunk;
    return centre * scale - length / 2;
  };
  return {
    scale,
    offsetX: offset(cut.x, cut.width, working.width, window.x, window.width),
    offsetY: offset(cut.y, cut.height, working.height, window.y, window.height),
  };
}

/** The size nearest to `scale` times `size` whose sides shrink alike, or null when none does within half a per cent. */
export function evenSize(size: Size, scale: number): Size | null {
  const target = Math.round(size.width * scale);
  for (let step = 0; step <= 0.005 * target; step++) {
    for (const width of [target - step, target + step]) {
      const height = Math.round((size.height * width) / size.width);
      if (width >= 1 && height >= 1 && width <= size.width && Math.abs((height * size.width) / width - size.height) <= EXACT_PX)
        return { width, height };
    }
  }
  return null;
}

/** The size with the same shape whose longer side is at most `longestPx`; never larger, each side at least 1 px. */
export function fitWithin({ width, height }: Size, longestPx: number): Size {
  if (!(longestPx >= 1)) throw new RangeError(`the longer side must be at least 1 px, got ${longestPx}`);
  const scale = Math.min(1, longestPx / Math.max(width, height));
  const side = (px: number): number => Math.max(1, Math.round(px * scale));
  return { width: side(width), height: side(height) };
}

/** [start, length in original px, length in working px] of a cut along one axis of `whole` px. */
function axisCut(from: number, length: number, whole: number, scale: number): [number, number, number] {
  const start = Math.floor(from + SLACK);
  const fewest = Math.max(1, Math.ceil((from + length - start) * scale - SLACK));
  const most = Math.max(1, Math.floor(whole * scale + SLACK));
  const tight = most - fewest < GIVE_UP_PX; // no room to grow: give up a little at the border rather than the scale
  const tries = tight ? GIVE_UP_PX : Math.min(GROW_PX, most - fewest);
  let best = { cut: whole, working: most, miss: Number.POSITIVE_INFINITY };
  for (let step = 0; step <= tries && best.miss > EXACT_PX; step++) {
    const working = tight ? Math.max(1, most - step) : fewest + step;
    const cut = Math.min(whole, Math.max(1, Math.round(working / scale)));
    const miss = Math.abs(cut - working / scale);
    if (miss < best.miss) best = { cut, working, miss };
  }
  return [Math.max(0, Math.min(start, whole - best.cut)), best.cut, best.working];
}

function span(from: number, length: number, factor: number, most: number): [number, number] {
  const start = Math.min(most - 1, Math.floor(from * factor + SLACK));
  const end = Math.max(start + 1, Math.min(most, Math.ceil((from + length) * factor - SLACK)));
  return [start, end - start];
}

/** Rounding of a product must not add a pixel. */
const SLACK = 1e-6;
