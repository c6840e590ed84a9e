/**
 * How much nearer the camera stood for one photograph of a pair than for the other.
 *
 * Unit    difference of nearness, after less before, 1 / m.
 * Model   Three witnesses, weighed by their precisions with the expectation that a pair is usually taken alike:
 *         the landmarks, dulled as nearness.ts says; EXIF, when both files carry a focal length that can be trusted; and else
 *         the size of the face, when both files look as if they came uncropped from one camera, since then a face
 *         that is a quarter larger was a fifth nearer.
 */
import type { Measured } from '#shared/units.ts';
import { cameraGuess } from './camera-guess.ts';
import { READING_PER_NEARNESS } from './nearness.ts';
import type { PairGeometry } from './pair-geometry.ts';
import type { Face } from './types.ts';

type Sighted = Omit<Face, 'checks'>;

/** Pairs of one practice differ by about this much. */
const USUAL_DIFFERENCE_U = 0.5;
/** Scatter of the reading between photographs of one person from one place: a talking face over ten frames. Per m. */
const READING_U = 0.25;
/** A turn of the head leaks into the reading, the mesh's depth not being the person's. Per m and degree, same frames. */
const READING_U_PER_DEG = 0.045;
/** The size of the face speaks for distance unless a zoom or a crop of the very same shape was used: that doubt, relative and per m. */
const ZOOM_DOUBT = 0.3;
const SIZE_U = 0.05;

export function nearnessDifference(before: Sighted, after: Sighted, geometry: PairGeometry): Measured {
  const witnesses: Measured[] = [{ value: 0, u: USUAL_DIFFERENCE_U }, fromLandmarks(before, after, geometry)];
  const told = fromFocalLengths(before, after) ?? unlessReframed(fromSize(before, after, geometry), witnesses[1]);
  if (told) witnesses.push(told);
  const precision = witnesses.reduce((sum, { u }) => sum + 1 / u ** 2, 0);
  return { value: witnesses.reduce((sum, { value, u }) => sum + value / u ** 2, 0) / precision, u: 1 / Math.sqrt(precision) };
}

function fromLandmarks(before: Sighted, after: Sighted, { readingDifferencePerM }: PairGeometry): Measured {
  const turned = Math.hypot(after.head.yawDeg.value - before.head.yawDeg.value, after.head.pitchDeg.value - before.head.pitchDeg.value);
  return {
    value: readingDifferencePerM / READING_PER_NEARNESS,
    u: Math.hypot(READING_U, READING_U_PER_DEG * turned) / READING_PER_NEARNESS,
  };
}

/** A photographer who steps nearer and zooms out keeps the size; when the landmarks flatly contradict it, it has no say. */
function unlessReframed(size: Measured | null, landmarks: Measured): Measured | null {
  return size && Math.abs(size.value - landmarks.value) <= CONTRADICTION * Math.hypot(size.u, landmarks.u) ? size : null;
}
const CONTRADICTION = 3;

/** Face size is the same in both, so only the focal lengths' own errors count. */
function fromFocalLengths(before: Sighted, after: Sighted): Measured | null {
  const [a, b] = [cameraGuess(before.photo).focal, cameraGuess(after.photo).focal];
  if (!a || !b) return null;
  const near = (face: Sighted, focalPx: number): number => (1000 * face.head.focalPx) / face.head.translationMm[2] / focalPx;
  const [nearBefore, nearAfter] = [near(before, a.px), near(after, b.px)];
  return { value: nearAfter - nearBefore, u: Math.hypot(nearBefore * a.relU, nearAfter * b.relU, SIZE_U) };
}

function fromSize(before: Sighted, after: Sighted, { sizeRatio }: PairGeometry): Measured | null {
  if (!sameCamera(before, after)) return null;
  const middle = (before.head.nearnessPerM.value + after.head.nearnessPerM.value) / 2;
  const middleU = Math.max(before.head.nearnessPerM.u, after.head.nearnessPerM.u);
  const spread = Math.sqrt(sizeRatio) - 1 / Math.sqrt(sizeRatio);
  const value = middle * spread;
  return { value, u: Math.hypot(middleU * spread, ZOOM_DOUBT * value, SIZE_U) };
}

/** Frames of the same number of pixels, upright or lying, and nothing in the facts that speaks against one camera. */
function sameCamera({ photo: a }: Sighted, { photo: b }: Sighted): boolean {
  const sides = ({ original }: typeof a): string => [original.width, original.height].sort((p, q) => p - q).join();
  return (
    sides(a) === sides(b) &&
    a.facts.camera === b.facts.camera &&
    a.facts.focalLengthMm === b.facts.focalLengthMm &&
    a.facts.focalLength35Mm === b.facts.focalLength35Mm
  );
}
