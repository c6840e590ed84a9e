/**
 * The MUCT landmarks: people photographed by five cameras, marked by hand.
 *
 * Source   Milborrow, Morkel, Nicolls, The MUCT Landmarked Face Database, PRASA 2010. Names read `i` person set camera, as in
 *          `i000qa-fn`. Cameras: a in front; b and c on one side, c further; d and e one below and one above. A point that is hidden is (0, 0).
 * Frame    px, origin top left, y down. The file carries 68 of the points.
 */
import { readFileSync } from 'node:fs';
import { testData } from '#tests/test-data.ts';

export const MUCT_FILE = testData('muct', 'muct76-opencv.csv');

export type Marked = Readonly<{
  person: string;
  set: string;
  camera: string;
  /** (68, 2) px; 0, 0 where hidden. */
  points: Float64Array;
}>;

/** MUCT point and the vertex of the canonical mesh at the same place of the face. Left is the viewer's, as MUCT counts. */
export const MUCT_TO_MESH: readonly (readonly [number, number])[] = [
  [27, 33],
  [28, 159],
  [29, 133],
  [30, 145], // eye on the viewer's left: outer, upper, inner, lower
  [32, 263],
  [33, 386],
  [34, 362],
  [35, 374],
  [37, 193],
  [45, 417], // side of the bridge at the height of the eyes
  [38, 198],
  [44, 420], // side of the nose above the wing
  [39, 129],
  [43, 358], // wing
  [40, 98],
  [42, 327], // foot of the wing
  [41, 2],
  [67, 1], // below the nose, tip
  [48, 61],
  [54, 291],
  [51, 0],
  [57, 17], // mouth corners, upper and lower border
  [24, 55],
  [18, 285],
  [21, 46],
  [15, 276], // inner and outer end of the brows
  [7, 152],
];

/** All photographs, without the mirrored rows. */
export function muctMarks(file: string): Marked[] {
  return readFileSync(file, 'utf8')
    .trim()
    .split('\n')
    .slice(1)
    .filter((line) => !line.startsWith('ir'))
    .map((line) => {
      const [name, , ...numbers] = line.split(',');
      return { person: name.slice(1, 4), set: name[4], camera: name[5], points: Float64Array.from(numbers, Number) };
    });
}
