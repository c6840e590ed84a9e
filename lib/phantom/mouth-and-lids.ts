/**
 * The average head made a resting person: lips that meet, lids that are open.
 *
 * Frame   head, mm, on the coarse head. Amounts are ours.
 */
import { MIRROR_LANDMARK } from '#shared/mirror-landmark.ts';
import { headTopology } from './head-topology.ts';

/** Rings of the lips from the outer border inwards, upper and lower, right half with the middle. */
const UPPER_RINGS = [
  [185, 40, 39, 37, 0],
  [184, 74, 73, 72, 11],
  [183, 42, 41, 38, 12],
  [191, 80, 81, 82, 13],
] as const;
export const LOWER_RINGS = [
  [146, 91, 181, 84, 17],
  [77, 90, 180, 85, 16],
  [96, 89, 179, 86, 15],
  [95, 88, 178, 87, 14],
] as const;
/** How far each ring follows the lips' meeting line. */
const FOLLOWS = [0.12, 0.4, 0.78, 1] as const;

/** The average mesh parts its lips by about 5 mm; bring them together on a gently bowed line. */
export function closeMouth(out: Float64Array): void {
  const before = out.slice();
  for (const rings of [UPPER_RINGS, LOWER_RINGS])
    for (let column = 0; column < 5; column++) {
      const inner = rings[3][column];
      const reach = Math.abs(before[3 * inner]);
      const meetY = -42.6 - 0.35 * Math.cos((reach / 21) * Math.PI) + (rings === UPPER_RINGS ? 0.12 : -0.12);
      const meetZ = 54.2 - 0.021 * reach * reach;
      const [dy, dz] = [meetY - before[3 * inner + 1], meetZ - before[3 * inner + 2]];
      rings.forEach((ring, r) => {
        for (const i of new Set([ring[column], MIRROR_LANDMARK[ring[column]]])) {
          out[3 * i + 1] += FOLLOWS[r] * dy;
          out[3 * i + 2] += FOLLOWS[r] * dz * (r === 0 ? 0 : 1) + (r === 1 || r === 2 ? 0.5 : 0);
        }
      });
    }
}

/** Lids from the margin outwards, upper and lower, and how far each row follows the margin. */
const UPPER_LID = [
  [246, 161, 160, 159, 158, 157, 173],
  [247, 30, 29, 27, 28, 56, 190],
] as const;
const LOWER_LID = [[7, 163, 144, 145, 153, 154, 155]] as const;
/** Share of the lift along the lid, from the outer corner to the inner. */
const LID_SHARE = [0.3, 0.72, 0.95, 1, 0.95, 0.72, 0.3] as const;

/** Lifts the upper margin by `byMm` at its middle (the average mesh looks a little sleepy) and lowers the lower one slightly. */
export function openEyes(out: Float64Array, byMm: number): void {
  const move = (row: readonly number[], amount: number, back: number): void =>
    row.forEach((right, k) => {
      for (const i of [right, MIRROR_LANDMARK[right]]) {
        out[3 * i + 1] += amount * LID_SHARE[k];
        out[3 * i + 2] -= back * LID_SHARE[k] * Math.abs(amount);
      }
    });
  move(UPPER_LID[0], byMm, 0.1);
  move(UPPER_LID[1], byMm * 0.45, 0.15);
  move(LOWER_LID[0], -0.25 * byMm, 0);
}

/** Lid margins and lips turn inwards on added vertices, which go wherever their landmark went. */
export function letInsideFollow(out: Float64Array): void {
  const { vertices, hangsOn } = headTopology();
  hangsOn.forEach((on, i) => {
    if (on >= 0) for (let k = 0; k < 3; k++) out[3 * i + k] = vertices[3 * i + k] + out[3 * on + k] - vertices[3 * on + k];
  });
}
