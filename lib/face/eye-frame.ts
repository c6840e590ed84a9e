/**
 * A frame of millimetres laid on the picture along the line of the eyes, for looking at what lies around them.
 *
 * Frame   mm; x along the line from the outer corner of the eye at the picture's left to the other, y down at right angles to it.
 *         The size is that of an average face (63 mm between the pupils), so that it holds where the irises can't be seen.
 */
import type { Patch } from './line-across.ts';
import { pupilDistance } from './pupil-distance.ts';
import type { Face } from './types.ts';

export type Place = readonly [x: number, y: number];

export type EyeFrame = Readonly<{
  /** A landmark, mm. */
  landmark: (index: number) => Place;
  /** mm to px of the photograph. */
  toPx: (place: Place) => Place;
  /** Light of a rectangle of the photograph; sides in mm. */
  patch: (left: number, right: number, top: number, bottom: number) => Patch;
}>;

/** What counts as light of a pixel, from its linear red, green and blue. */
export type LightOf = (red: number, green: number, blue: number) => number;

const PUPILS_MM = 63;
const OUTER_CORNERS = [33, 263] as const;
/** Side of a patch's cells. */
export const CELL_MM = 0.4;
/** Linear light below which a camera shows noise only. */
const DARKEST = 0.003;

/** `light` says what a patch shows of a pixel. */
export function eyeFrame({ photo, landmarks, head }: Pick<Face, 'photo' | 'landmarks' | 'head'>, light: LightOf): EyeFrame {
  const turn = Math.max(0.5, Math.cos((head.yawDeg.value * Math.PI) / 180));
  const pxPerMm = pupilDistance(landmarks) / (PUPILS_MM * turn);
  const [a, b] = OUTER_CORNERS.map((i) => [landmarks[3 * i], landmarks[3 * i + 1]]);
  const size = Math.hypot(b[0] - a[0], b[1] - a[1]);
  const [c, s] = [(b[0] - a[0]) / size, (b[1] - a[1]) / size];
  const toPx = ([x, y]: Place): Place => [(x * c - y * s) * pxPerMm, (x * s + y * c) * pxPerMm];
  return {
    landmark: (i) => {
      const [px, py] = [landmarks[3 * i] / pxPerMm, landmarks[3 * i + 1] / pxPerMm];
      return [px * c + py * s, py * c - px * s];
    },
    toPx,
    patch: (left, right, top, bottom) => {
      const width = Math.max(1, Math.round((right - left) / CELL_MM));
      const height = Math.max(1, Math.round((bottom - top) / CELL_MM));
      const data = new Float32Array(width * height);
      for (let j = 0, k = 0; j < height; j++)
        for (let i = 0; i < width; i++, k++) {
          let sum = 0;
          for (const v of [0.25, 0.75])
            for (const u of [0.25, 0.75]) sum += lightAt(photo, light, toPx([left + (i + u) * CELL_MM, top + (j + v) * CELL_MM]));
          data[k] = Math.log(Math.max(DARKEST, sum / 4));
        }
      return { width, height, data, cellMm: CELL_MM };
    },
  };
}

/** Luminance of the pixel that holds the place; the nearest one outside the picture. */
function lightAt({ width, height, data }: Pick<Face['photo'], 'width' | 'height' | 'data'>, light: LightOf, [x, y]: Place): number {
  const i = Math.min(width - 1, Math.max(0, Math.floor(x)));
  const j = Math.min(height - 1, Math.max(0, Math.floor(y)));
  const k = 3 * (j * width + i);
  return light(data[k], data[k + 1], data[k + 2]);
}
