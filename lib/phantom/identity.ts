/**
 * One person's head at rest: the average head, closed mouth and open eyes, moulded by the numbers of a ShapeSpec.
 *
 * Frame   head, mm. Amounts and places are ours, read off the canonical mesh; each strength of 1 is a plain but ordinary difference.
 */
import { vertexNormals } from '#lib/geometry/mesh.ts';
import { randomFrom } from '#lib/stats/random.ts';
import { MIRROR_LANDMARK } from '#shared/mirror-landmark.ts';
import { addHills, bothSides, type Crease, type Hill, nearLine, smoothstep } from './fields.ts';
import type { HeadGrid } from './head-grid.ts';
import { headTopology } from './head-topology.ts';
import type { IdentitySpec, ShapeSpec, SkinSpec } from './types.ts';

export const AVERAGE_SHAPE: ShapeSpec = {
  faceWidth: 0, jawWidth: 0, chinLength: 0, cheekFullness: 0, noseWidth: 0, noseLength: 0, noseBridge: 0, lipFullness: 0, mouthWidth: 0,
  eyeOpening: 0, browHeight: 0, browRidge: 0, foreheadSlope: 0, asymmetry: 0, tearTroughMm: 0.8, nasolabialMm: 0.8, marionetteMm: 0.4,
};

export const ORDINARY_SKIN: SkinSpec = { tone: 0.25, redness: 1, freckles: 0.2, oil: 1, relief: 1, hair: 0.25, iris: 0.3 };

/** A person drawn by chance: same seed, same person. `tone` 0..1 fixes the skin, the rest follows. */
export function identityFrom(seed: number, tone: number = randomFrom(seed).fork('tone').uniform()): IdentitySpec {
  const chance = randomFrom(seed);
  const draw = (label: string, spread = 0.6): number => Math.max(-1.2, Math.min(1.2, chance.fork(label).normal() * spread));
  const part = (label: string): number => chance.fork(label).uniform();
  const shape = Object.fromEntries(Object.keys(AVERAGE_SHAPE).map((key) => [key, draw(key)])) as Record<keyof ShapeSpec, number>;
  const age = part('age');
  return {
    seed,
    shape: { ...shape, asymmetry: draw('asymmetry', 0.4), tearTroughMm: 0.4 + 1.2 * age, nasolabialMm: 0.3 + 1.3 * age, marionetteMm: 0.1 + 0.9 * age },
    skin: {
      tone, redness: 0.6 + 0.8 * part('redness'), freckles: tone < 0.4 ? 0.6 * part('freckles') ** 2 : 0.15 * part('freckles'), oil: 0.7 + 0.6 * part('oil'),
      relief: 0.7 + 0.6 * part('relief'), hair: tone > 0.45 ? 0.05 * part('hair') : 0.7 * part('hair') ** 1.5, iris: tone > 0.45 ? 0.15 * part('iris') : part('iris'),
    },
  };
}

const FEATURES: Readonly<Partial<Record<keyof ShapeSpec, readonly Hill[]>>> = {
  cheekFullness: bothSides({ at: [42, -8, 36], sigma: 17, move: [1.8, 0, 3] }),
  noseWidth: bothSides({ at: [15, -9, 58], sigma: 7, move: [3, 0, 0] }),
  noseLength: [{ at: [0, -9, 72], sigma: 12, move: [0, -4, 1.2] }],
  noseBridge: [{ at: [0, 18, 60], sigma: 11, move: [0, 0, 3.2] }],
  lipFullness: [{ at: [0, -37, 57], sigma: 9, move: [0, 1.3, 1.6] }, { at: [0, -49, 55], sigma: 9, move: [0, -1.5, 1.8] }],
  mouthWidth: bothSides({ at: [25, -43, 43], sigma: 11, move: [3, 0, -0.8] }),
  browRidge: bothSides({ at: [30, 45, 48], sigma: 13, move: [0, 0, 2.2] }),
  browHeight: bothSides({ at: [34, 47, 45], sigma: 14, move: [0, 2.6, 0] }),
  chinLength: [{ at: [0, -90, 46], sigma: 24, move: [0, -6.5, 1] }],
  asymmetry: [{ at: [30, -40, 40], sigma: 26, move: [0.9, -0.8, 0.5] }, { at: [-32, 28, 36], sigma: 18, move: [0.4, 0.7, 0] }],
};

/** Coarse vertices (829, 3) mm of one person at rest. */
export function restHead({ shape }: Pick<IdentitySpec, 'shape'>): Float64Array {
  const places = headTopology().vertices;
  const out = places.slice();
  closeMouth(out);
  openEyes(out, 1.3 + 0.8 * shape.eyeOpening);
  letInsideFollow(out);
  for (const [key, hills] of Object.entries(FEATURES)) addHills(out, places, hills, shape[key as keyof ShapeSpec]);
  for (let i = 0; i < out.length; i += 3) {
    const [x, y, z] = [places[i], places[i + 1], places[i + 2]];
    const low = smoothstep(10, -60, y) * smoothstep(-70, 10, z);
    out[i] += x * (0.045 * shape.faceWidth + 0.09 * shape.jawWidth * low);
    out[i + 2] += -2.5 * shape.foreheadSlope * smoothstep(45, 90, y) * smoothstep(-20, 40, z);
  }
  return out;
}

/** Rings of the lips from the outer border inwards, upper and lower, right half with the middle. */
const UPPER_RINGS = [[185, 40, 39, 37, 0], [184, 74, 73, 72, 11], [183, 42, 41, 38, 12], [191, 80, 81, 82, 13]] as const;
const LOWER_RINGS = [[146, 91, 181, 84, 17], [77, 90, 180, 85, 16], [96, 89, 179, 86, 15], [95, 88, 178, 87, 14]] as const;
/** How far each ring follows the lips' meeting line. */
const FOLLOWS = [0.12, 0.4, 0.78, 1] as const;

/** The average mesh parts its lips by about 5 mm; bring them together on a gently bowed line. */
function closeMouth(out: Float64Array): void {
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
const UPPER_LID = [[246, 161, 160, 159, 158, 157, 173], [247, 30, 29, 27, 28, 56, 190]] as const;
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

/** Folds as lines over the average head, subject's right. */
const FOLDS: readonly Readonly<{ key: 'tearTroughMm' | 'nasolabialMm' | 'marionetteMm' | number; crease: Crease }>[] = [
  { key: 'tearTroughMm', crease: { line: [[-15, 17.5, 43], [-21, 12, 41.5], [-29, 8.5, 41], [-38, 8, 38]], sigma: 2.6 } },
  { key: 'nasolabialMm', crease: { line: [[-19, -9, 48.5], [-24, -17, 46], [-30, -25, 44], [-34, -34, 41], [-35.5, -41, 38.5]], sigma: 2.4 } },
  { key: 'marionetteMm', crease: { line: [[-28, -46, 41], [-31, -54, 39], [-33, -62, 38]], sigma: 2.4 } },
  // the same on every face, mm: alar groove, fold of the upper lid, hollow of the philtrum, fold above the chin
  { key: 1.1, crease: { line: [[-12.5, -2, 61.5], [-16, -5.5, 56], [-17.5, -10, 51.5], [-16, -14.5, 51]], sigma: 1.5 } },
  { key: 1.2, crease: { line: [[-20, 28.5, 39.5], [-25, 32.6, 39.6], [-31, 33.9, 40.2], [-38, 33, 38.5], [-45, 29.5, 33]], sigma: 0.95 } },
  { key: 0.7, crease: { line: [[-0.1, -22, 60.5], [-0.1, -27, 59.5], [-0.1, -33, 60]], sigma: 2.2 } },
  { key: 0.9, crease: { line: [[-0.1, -62.5, 51], [-8, -62, 50], [-15, -60, 47.5]], sigma: 3.2 } },
];

/** Presses the folds into the fine surface, along its normals; a soft ridge stands beside each. Writes to `fine` (n, 3). */
export function pressFolds(fine: Float64Array, grid: HeadGrid, shape: ShapeSpec): void {
  const normals = vertexNormals({ vertices: fine, triangles: grid.triangles });
  const { material } = grid;
  for (const { key, crease } of FOLDS)
    for (let i = 0; i < fine.length; i += 3) {
      const [x, y, z] = [-Math.abs(material[i]), material[i + 1], material[i + 2]];
      if (z < 20 || y > 38 || y < -72) continue;
      const { distance, along } = nearLine(crease.line, x, y, z);
      if (distance > 6 * crease.sigma) continue;
      const fade = typeof key === 'number' ? 1 : smoothstep(0, 0.15, along) * smoothstep(1, 0.7, along);
      const q = (distance / crease.sigma) ** 2 / 2;
      const depth = (typeof key === 'number' ? key : shape[key]) * fade * (-Math.exp(-q) + 0.35 * Math.exp(-q / 6));
      for (let k = 0; k < 3; k++) fine[i + k] += depth * normals[i + k];
    }
}
