/**
 * What is known of the camera before the face is fitted: where its axis pierces the picture, and how far away it stood.
 *
 * Frame   px of the developed photograph. Nearness is 1 / distance, per metre.
 * Model   An uncropped picture has its principal point in the middle. The distance follows from the face's size in the picture
 *         only when the focal length is known, so EXIF's 35-mm equivalent counts only while the frame has a camera's
 *         own shape; a cropped frame would give a wrong distance with false certainty.
 * Source  35-mm equivalent by the diagonal of the frame, 43.27 mm: CIPA DC-008 (Exif 2.32), tag FocalLengthIn35mmFilm.
 */
import type { LinearPhoto } from '#lib/photo/types.ts';

export type CameraGuess = Readonly<{
  principalPx: readonly [number, number];
  /** Focal length in px of the developed photograph and its relative standard uncertainty, or null when it cannot be trusted. */
  focal: Readonly<{ px: number; relU: number }> | null;
}>;

const DIAGONAL_35_MM = Math.hypot(36, 24);
/** Long side over short side of cameras' own frames. */
const CAMERA_SHAPES = [1, 4 / 3, 3 / 2, 16 / 9] as const;
const SHAPE_TOLERANCE = 0.01;
/** Rounding to a whole millimetre, focus breathing and lens correction together; a guess on the cautious side. */
const FOCAL_REL_U = 0.05;

/** The camera of a developed photograph, from its size, its place in the original and its EXIF facts. */
export function cameraGuess(photo: Pick<LinearPhoto, 'original' | 'placement' | 'facts'>): CameraGuess {
  const { original, placement, facts } = photo;
  const principalPx = [
    (original.width / 2) * placement.scale - placement.offsetX,
    (original.height / 2) * placement.scale - placement.offsetY,
  ] as const;
  const shape = Math.max(original.width, original.height) / Math.min(original.width, original.height);
  const whole = CAMERA_SHAPES.some((own) => Math.abs(shape / own - 1) < SHAPE_TOLERANCE);
  if (facts.focalLength35Mm === null || facts.focalLength35Mm <= 0 || !whole) return { principalPx, focal: null };
  const px = (facts.focalLength35Mm / DIAGONAL_35_MM) * Math.hypot(original.width, original.height) * placement.scale;
  return { principalPx, focal: { px, relU: FOCAL_REL_U } };
}
