/**
 * The stages of a photograph inside this room and after it.
 *
 * Frame: pixels; x right, y down; the centre of the first pixel is (0.5, 0.5), so a coordinate in px divided by
 * the width is the same place at every resolution.
 */
import type { PhotoFacts } from '#shared/comparison.ts';
import type { Outcome } from '#shared/outcome.ts';

/** sRGB-coded pixels, RGB interleaved, for the landmark engine and for showing. */
export type Srgb8Raster = Readonly<{
  encoding: 'srgb8';
  width: number;
  height: number;
  /** length 3 * width * height */
  data: Uint8Array;
}>;

/**
 * Linear light, RGB interleaved, 0..1 of the camera's white; IEC 61966-2-1 primaries, D65. Colours outside sRGB, which wider
 * profiles hold, leave the range a little on either side.
 */
export type LinearPhoto = Readonly<{
  stage: 'linear';
  encoding: 'linear-srgb';
  width: number;
  height: number;
  /** length 3 * width * height; read-only */
  data: Float32Array;
  /** Upright size of the file in px, and where this raster lies in it: original = (working + offset) / scale. */
  original: Readonly<{ width: number; height: number }>;
  placement: Readonly<{ scale: number; offsetX: number; offsetY: number }>;
  facts: PhotoFacts;
  name: string;
  sha256: string;
}>;

export const PHOTO_FAULTS = ['empty', 'not-an-image', 'unsupported', 'truncated', 'too-small', 'too-large', 'unreadable'] as const;
export type PhotoFault = (typeof PHOTO_FAULTS)[number];

/** A rectangle in px of the upright original. */
export type Crop = Readonly<{ x: number; y: number; width: number; height: number }>;

/** A file whose header has been read: facts are known, pixels are decoded on demand. */
export type OpenPhoto = Readonly<{
  name: string;
  sha256: string;
  facts: PhotoFacts;
  /** Upright size in px. */
  width: number;
  height: number;
  /** The whole picture, upright, converted to sRGB, its longer side at most `longestPx`. Never enlarges. */
  glance: (longestPx: number) => Promise<Outcome<Srgb8Raster, PhotoFault>>;
  /** A part of the picture at `scale` working px per original px (at most 1), in linear light. */
  develop: (crop: Crop, scale: number) => Promise<Outcome<LinearPhoto, PhotoFault>>;
}>;
// openPhoto(bytes: Uint8Array, name: string): Promise<Outcome<OpenPhoto, PhotoFault>> is in open.ts
