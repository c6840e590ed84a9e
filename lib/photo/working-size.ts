/**
 * The whole number of working pixels that a picture shrinks to, and where a crop of it then lies.
 *
 * The codec can only make whole sizes, so both sides rarely shrink by exactly the same factor. Of the sizes near the
 * one asked for, the one is taken whose two factors agree; what disagreement is left is nil at the crop's centre.
 */
import type { Size } from './orientation.ts';
import type { Crop } from './types.ts';

/** How far the size may stray from the one asked for to make the two factors agree: this share, or so many px if that is more. */
const STRAY = 0.004;
const STRAY_PX = 6;
/** Disagreement over the whole height, working px, that is as good as none: half of it is seen at most, far from the centre. */
const AGREED_PX = 0.04;

/** The size nearest to `scale` (0 < scale <= 1) times `size` whose two factors agree best. Never larger than `size`. */
export function workingSize(size: Size, scale: number): Size {
  if (scale === 1) return size;
  const target = size.width * scale;
  const reach = Math.max(STRAY * target, STRAY_PX);
  let best = { ...sized(size, Math.round(target)), miss: Number.POSITIVE_INFINITY };
  for (let step = 0; step <= reach; step++) {
    for (const width of [Math.round(target) - step, Math.round(target) + step]) {
      if (width < 1 || width > size.width) continue;
      const candidate = sized(size, width);
      if (candidate.miss < best.miss) best = candidate;
    }
    if (best.miss <= AGREED_PX) break;
  }
  return { width: best.width, height: best.height };
}

function sized(size: Size, asked: number): Size & { miss: number } {
  const width = Math.min(size.width, Math.max(1, asked));
  const exact = (size.height * width) / size.width;
  const height = Math.max(1, Math.round(exact));
  return { width, height, miss: Math.abs(exact - height) };
}

/** The whole working pixels that cover `crop` (px of `size`, inside it) when `size` has become `working`. */
export function workingWindow(crop: Crop, size: Size, working: Size): Crop {
  const span = (from: number, length: number, factor: number, most: number): [number, number] => {
    const start = Math.min(most - 1, Math.floor(from * factor + SLACK));
    const end = Math.max(start + 1, Math.min(most, Math.ceil((from + length) * factor - SLACK)));
    return [start, end - start];
  };
  const [x, width] = span(crop.x, crop.width, working.width / size.width, working.width);
  const [y, height] = span(crop.y, crop.height, working.height / size.height, working.height);
  return { x, y, width, height };
}

/** Rounding of a product must not add a column. */
const SLACK = 1e-6;

/**
 * original = (working + offset) / scale, for a window of the upright picture `size` shrunk to `working`. One scale serves
 * both axes; the offsets make it exact at the window's centre.
 */
export function placementOf(window: Crop, size: Size, working: Size): Readonly<{ scale: number; offsetX: number; offsetY: number }> {
  const factorX = working.width / size.width;
  const factorY = working.height / size.height;
  const scale = Math.sqrt(factorX * factorY);
  const offset = (start: number, length: number, factor: number): number => {
    const centre = start + length / 2;
    return (centre / factor) * scale - length / 2;
  };
  return { scale, offsetX: offset(window.x, window.width, factorX), offsetY: offset(window.y, window.height, factorY) };
}

/** The part of `crop` inside the picture, or null when they do not meet. */
export function clampedCrop(crop: Crop, size: Size): Crop | null {
  const left = Math.max(0, crop.x);
  const top = Math.max(0, crop.y);
  const width = Math.min(size.width, crop.x + crop.width) - left;
  const height = Math.min(size.height, crop.y + crop.height) - top;
  return width > 0 && height > 0 ? { x: left, y: top, width, height } : null;
}

/** The size with the same shape whose longer side is at most `longestPx`; never larger, each side at least 1 px. */
export function fitWithin({ width, height }: Size, longestPx: number): Size {
  if (!(longestPx >= 1)) throw new RangeError(`the longer side must be at least 1 px, got ${longestPx}`);
  const scale = Math.min(1, longestPx / Math.max(width, height));
  const side = (px: number): number => Math.max(1, Math.round(px * scale));
  return { width: side(width), height: side(height) };
}
