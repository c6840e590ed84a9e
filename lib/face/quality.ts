/**
 * How good the photograph of the face is: size, focus, clipping, noise, colour.
 *
 * Model   focus: at strong edges (lashes, brows, nostrils, lips) the gradient falls when the picture is blurred once more by a
 *         known Gaussian, and by how much tells the blur that was there: R = sqrt((s^2 + s0^2) / s^2) for a step edge of blur s.
 *         noise: a Laplacian pattern that cancels plane shading, on bare skin, in the quietest fifth of small blocks, so
 *         that pores and hairs do not pass for noise.
 * Source  focus: Zhuo & Sim, Pattern Recognition 44:1852-1858, 2011, doi:10.1016/j.patcog.2011.03.009.
 *         noise: Immerkaer, Computer Vision and Image Understanding 64(2):300-302, 1996, doi:10.1006/cviu.1996.0060.
 */
import { gaussianBlur, luminance, type Raster, rasterOf } from '#lib/photo/raster.ts';
import type { LinearPhoto } from '#lib/photo/types.ts';
import { quantile } from '#lib/stats/quantile.ts';
import { pupilDistance } from './pupil-distance.ts';
import { OUTSIDE, SKIN, type SkinMask, skinMask } from './skin-mask.ts';
import type { Quality } from './types.ts';

/** Blur that is added to measure the blur that is there, px. */
const ADDED_SIGMA_PX = 1;
/** Differences of the two neighbours blur by themselves: the variance of a box of 2 px. */
const DIFFERENCE_VARIANCE = 1 / 3;
/** The sharpest edges a resampled picture carries: sharper is aliasing. Px. */
export const SHARPEST_SIGMA_PX = 0.5;
/** Edges count that are among the strongest this share of the face's pixels. */
const EDGE_SHARE = 0.02;
/** Of those, the sharp ones tell the focus; the others are soft things seen sharply. */
const SHARP_QUANTILE = 0.25;
/** Linear light at which a sensor or an editor cut off; at 8 bits the last two steps of each end. */
const HIGH = 0.98;
const LOW = 0.0006;
/** Side of the blocks for noise, px, and which of them, by quietness, stands for all. */
const NOISE_BLOCK_PX = 12;
const QUIET_QUANTILE = 0.2;
/** E|x| = sd * sqrt(2 / pi); the pattern 1 -2 1, -2 4 -2, 1 -2 1 multiplies sd by 6. */
const SD_PER_MEAN_PATTERN = Math.sqrt(Math.PI / 2) / 6;
/** Channels of a grey picture agree to rounding. */
const GREY_TOLERANCE = 0.004;

export function qualityOf(photo: Pick<LinearPhoto, 'width' | 'height' | 'data'>, landmarks: ArrayLike<number>): Quality {
  const mask = skinMask(landmarks, photo.width, photo.height);
  const face = croppedFace(photo, mask);
  const light = luminance(face);
  return {
    interpupillaryPx: pupilDistance(landmarks),
    sharpness: SHARPEST_SIGMA_PX / edgeSigma(light, mask),
    ...clipping(face, mask),
    noise: noiseOf(light, mask),
    greyscale: isGrey(face, mask),
  };
}

function croppedFace(photo: Pick<LinearPhoto, 'width' | 'height' | 'data'>, mask: SkinMask): Raster {
  const { width, data } = rasterOf(photo);
  const out = new Float32Array(mask.width * mask.height * 3);
  for (let y = 0; y < mask.height; y++) {
    const from = ((mask.top + y) * width + mask.left) * 3;
    out.set(data.subarray(from, from + mask.width * 3), y * mask.width * 3);
  }
  return { width: mask.width, height: mask.height, channels: 3, data: out };
}

/** Blur of the face's sharp edges, px; infinite where there is no edge at all. */
function edgeSigma(light: Raster, mask: SkinMask): number {
  const blurred = gaussianBlur(light, ADDED_SIGMA_PX);
  const { width, height, data } = light;
  const inFace: number[] = [];
  for (let at = width + 1; at < width * (height - 1) - 1; at += THRESHOLD_STRIDE)
    if (mask.data[at] !== OUTSIDE) inFace.push(gradient2(data, width, at));
  if (inFace.length === 0) return Infinity;
  const least = Math.max(Number.MIN_VALUE, quantile(inFace, 1 - EDGE_SHARE));
  const sigmas: number[] = [];
  for (let y = 1; y < height - 1; y++)
    for (let at = y * width + 1; at < (y + 1) * width - 1; at++) {
      if (mask.data[at] === OUTSIDE) continue;
      const before = gradient2(data, width, at);
      if (before < least) continue;
      const ratio2 = before / Math.max(Number.MIN_VALUE, gradient2(blurred.data, width, at));
      sigmas.push(ratio2 > 1 ? ADDED_SIGMA_PX / Math.sqrt(ratio2 - 1) : 10 * ADDED_SIGMA_PX);
    }
  if (sigmas.length === 0) return Infinity;
  return Math.sqrt(Math.max(SHARPEST_SIGMA_PX ** 2, quantile(sigmas, SHARP_QUANTILE) ** 2 - DIFFERENCE_VARIANCE));
}
/** Every so many px are enough to know which gradients are strong; no divisor of usual widths. */
const THRESHOLD_STRIDE = 13;

/** Squared gradient by central differences, times four. */
function gradient2(data: Float32Array, width: number, at: number): number {
  const dx = data[at + 1] - data[at - 1];
  const dy = data[at + width] - data[at - width];
  return dx * dx + dy * dy;
}

function clipping(face: Raster, mask: SkinMask): Pick<Quality, 'clippedHigh' | 'clippedLow'> {
  let skin = 0;
  let high = 0;
  let low = 0;
  for (let at = 0; at < mask.data.length; at++) {
    if (mask.data[at] !== SKIN) continue;
    skin++;
    const [r, g, b] = [face.data[3 * at], face.data[3 * at + 1], face.data[3 * at + 2]];
    if (Math.max(r, g, b) >= HIGH) high++;
    if (Math.max(r, g, b) <= LOW) low++;
  }
  return { clippedHigh: high / Math.max(1, skin), clippedLow: low / Math.max(1, skin) };
}

function noiseOf({ width, height, data }: Raster, mask: SkinMask): number {
  const blocks: number[] = [];
  let brightness = 0;
  let skin = 0;
  for (let by = 1; by + NOISE_BLOCK_PX < height; by += NOISE_BLOCK_PX)
    for (let bx = 1; bx + NOISE_BLOCK_PX < width; bx += NOISE_BLOCK_PX) {
      let sum = 0;
      let whole = true;
      for (let y = by; y < by + NOISE_BLOCK_PX && whole; y++)
        for (let x = bx, at = y * width + bx; x < bx + NOISE_BLOCK_PX; x++, at++) {
          if (mask.data[at] !== SKIN) {
            whole = false;
            break;
          }
          const corners = data[at - width - 1] + data[at - width + 1] + data[at + width - 1] + data[at + width + 1];
          const sides = data[at - width] + data[at + width] + data[at - 1] + data[at + 1];
          sum += Math.abs(corners - 2 * sides + 4 * data[at]);
          brightness += data[at];
          skin++;
        }
      if (whole) blocks.push(sum / NOISE_BLOCK_PX ** 2);
    }
  if (blocks.length === 0 || brightness === 0) return 0;
  return (quantile(blocks, QUIET_QUANTILE) * SD_PER_MEAN_PATTERN) / (brightness / skin);
}

function isGrey(face: Raster, mask: SkinMask): boolean {
  for (let at = 0; at < mask.data.length; at++) {
    if (mask.data[at] === OUTSIDE) continue;
    const [r, g, b] = [face.data[3 * at], face.data[3 * at + 1], face.data[3 * at + 2]];
    if (Math.max(r, g, b) - Math.min(r, g, b) > GREY_TOLERANCE) return false;
  }
  return true;
}
