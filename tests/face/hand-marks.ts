/**
 * Which hand-placed points of the 189-point templates are which landmarks, found by drawing both over the photographs.
 *
 * A point corresponds to a landmark where both mean one anatomical place. Along a border neither says where between two
 * such places a point sits, so there the distance is that from the landmark to the hand-drawn line.
 */

export type Mark = Readonly<{
  part: 'pupils' | 'eye corners' | 'lids' | 'nose' | 'lip border' | 'jaw';
  name: string;
  landmark: number;
  /** One template point, or the points of a line in order. */
  template: number | readonly number[];
}>;

const UPPER_LIP = [87, 88, 89, 90, 91, 92, 93];
const LOWER_LIP = [87, 104, 105, 106, 107, 108, 93];
const JAW = [125, 126, 127, 128, 129, 130, 131, 132, 133];

const along = (part: Mark['part'], name: string, template: readonly number[], landmarks: readonly number[]): Mark[] =>
  landmarks.map((landmark) => ({ part, name, landmark, template }));

/** Left and right are the subject's. */
export const MARKS: readonly Mark[] = [
  { part: 'pupils', name: 'pupil, right', landmark: 468, template: 0 },
  { part: 'pupils', name: 'pupil, left', landmark: 473, template: 1 },
  { part: 'eye corners', name: 'outer corner, right', landmark: 33, template: 18 },
  { part: 'eye corners', name: 'inner corner, right', landmark: 133, template: 22 },
  { part: 'eye corners', name: 'inner corner, left', landmark: 362, template: 23 },
  { part: 'eye corners', name: 'outer corner, left', landmark: 263, template: 27 },
  { part: 'lids', name: 'upper lid, right', landmark: 159, template: 20 },
  { part: 'lids', name: 'lower lid, right', landmark: 145, template: 29 },
  { part: 'lids', name: 'upper lid, left', landmark: 386, template: 25 },
  { part: 'lids', name: 'lower lid, left', landmark: 374, template: 32 },
  { part: 'nose', name: 'columella', landmark: 94, template: 55 },
  { part: 'nose', name: 'wing, widest, right', landmark: 64, template: 63 },
  { part: 'nose', name: 'wing, widest, left', landmark: 294, template: 68 },
  { part: 'nose', name: 'wing, upper, right', landmark: 49, template: 62 },
  { part: 'nose', name: 'wing, upper, left', landmark: 279, template: 67 },
  { part: 'lip border', name: 'corner, right', landmark: 61, template: 87 },
  { part: 'lip border', name: 'peak of the bow, right', landmark: 37, template: 89 },
  { part: 'lip border', name: 'dip of the bow', landmark: 0, template: 90 },
  { part: 'lip border', name: 'peak of the bow, left', landmark: 267, template: 91 },
  { part: 'lip border', name: 'corner, left', landmark: 291, template: 93 },
  { part: 'lip border', name: 'lower lip, middle', landmark: 17, template: 106 },
  { part: 'lip border', name: 'line of closure, middle', landmark: 13, template: 96 },
  ...along('lip border', 'upper lip, to the line', UPPER_LIP, [40, 39, 269, 270]),
  ...along('lip border', 'lower lip, to the line', LOWER_LIP, [91, 181, 84, 314, 405, 321]),
  { part: 'jaw', name: 'chin, lowest point', landmark: 152, template: 129 },
  ...along('jaw', 'jaw, to the line', JAW, [136, 150, 149, 176, 148, 377, 400, 378, 379, 365]),
];

type Point = readonly [number, number];

/** From the hand-placed place to the landmark, px: [dx, dy]. On a line: from its nearest place. */
export function offsetOf(mark: Mark, at: Point, hand: readonly Point[]): [number, number] {
  const { template } = mark;
  if (typeof template === 'number') return [at[0] - hand[template][0], at[1] - hand[template][1]];
  let best: [number, number] = [Number.POSITIVE_INFINITY, 0];
  for (let i = 1; i < template.length; i++) {
    const [ax, ay] = hand[template[i - 1]];
    const [bx, by] = hand[template[i]];
    const length2 = (bx - ax) ** 2 + (by - ay) ** 2;
    const t = length2 === 0 ? 0 : Math.min(1, Math.max(0, ((at[0] - ax) * (bx - ax) + (at[1] - ay) * (by - ay)) / length2));
    const offset: [number, number] = [at[0] - ax - t * (bx - ax), at[1] - ay - t * (by - ay)];
    if (Math.hypot(...offset) < Math.hypot(...best)) best = offset;
  }
  return best;
}
