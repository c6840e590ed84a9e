/**
 * How bright the skin is at each landmark.
 */
import { gaussianBlur, halve, luminance, rasterOf, sampleBilinear } from '#lib/photo/raster.ts';
import { BROW_LEFT, BROW_RIGHT, EYE_LEFT, EYE_RIGHT, FACE_OVAL, LIPS_INNER, LIPS_OUTER, NOSTRIL_LEFT, NOSTRIL_RIGHT } from './features.ts';
import { type Face, MESH_VERTEX_COUNT } from './types.ts';

/** Brightness is taken over about the size of a pore field, so that landmarks need not be exact. Mm. */
const BLUR_MM = 2;

const NOT_SKIN: ReadonlySet<number> = new Set([
  ...BROW_LEFT,
  ...BROW_RIGHT,
  ...EYE_LEFT,
  ...EYE_RIGHT,
  ...FACE_OVAL,
  ...LIPS_INNER,
  ...LIPS_OUTER,
  ...NOSTRIL_LEFT,
  ...NOSTRIL_RIGHT,
]);

/** Vertices on bare skin, away from the outline, where hair and background begin. */
export const SKIN_LANDMARKS: readonly number[] = Array.from({ length: MESH_VERTEX_COUNT }, (_, i) => i).filter((i) => !NOT_SKIN.has(i));

/** Halved while the blur stays this wide, px: the blur hides what halving loses, at a fraction of the time. */
const WIDE_ENOUGH_PX = 4;

/** (468) luminance at each landmark, 0..1 of white; 0 outside the picture. */
export function skinLight({ photo, landmarks, scale }: Pick<Face, 'photo' | 'landmarks' | 'scale'>): Float64Array {
  let light = luminance(rasterOf(photo));
  let sigmaPx = BLUR_MM / scale.mmPerPx;
  let shrunk = 1;
  while (sigmaPx >= WIDE_ENOUGH_PX) {
    light = halve(light);
    sigmaPx /= 2;
    shrunk *= 2;
  }
  light = gaussianBlur(light, sigmaPx);
  return Float64Array.from({ length: MESH_VERTEX_COUNT }, (_, i) => {
    const [x, y] = [landmarks[3 * i], landmarks[3 * i + 1]];
    return x < 0 || y < 0 || x > photo.width || y > photo.height ? 0 : sampleBilinear(light, x / shrunk, y / shrunk);
  });
}
