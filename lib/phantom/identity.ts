/**
 * One person's head at rest: the average head, closed mouth and open eyes, moulded by the numbers of a ShapeSpec.
 *
 * Frame   head, mm. Amounts and places are ours, read off the canonical mesh; each strength of 1 is a plain but ordinary difference.
 */
import { randomFrom } from '#lib/stats/random.ts';
import { addHills, bothSides, type Hill, smoothstep } from './fields.ts';
import { headTopology } from './head-topology.ts';
import { closeMouth, letInsideFollow, openEyes } from './mouth-and-lids.ts';
import type { IdentitySpec, ShapeSpec, SkinSpec } from './types.ts';

export const AVERAGE_SHAPE: ShapeSpec = {
  faceWidth: 0,
  jawWidth: 0,
  chinLength: 0,
  cheekFullness: 0,
  noseWidth: 0,
  noseLength: 0,
  noseBridge: 0,
  lipFullness: 0,
  mouthWidth: 0,
  eyeOpening: 0,
  browHeight: 0,
  browRidge: 0,
  foreheadSlope: 0,
  asymmetry: 0,
  tearTroughMm: 0.8,
  nasolabialMm: 0.8,
  marionetteMm: 0.4,
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
    shape: {
      ...shape,
      asymmetry: draw('asymmetry', 0.4),
      tearTroughMm: 0.4 + 1.2 * age,
      nasolabialMm: 0.3 + 1.3 * age,
      marionetteMm: 0.1 + 0.9 * age,
    },
    skin: {
      tone,
      redness: 0.6 + 0.8 * part('redness'),
      freckles: tone < 0.4 ? 0.6 * part('freckles') ** 2 : 0.15 * part('freckles'),
      oil: 0.7 + 0.6 * part('oil'),
      relief: 0.7 + 0.6 * part('relief'),
      hair: tone > 0.45 ? 0.05 * part('hair') : 0.7 * part('hair') ** 1.5,
      iris: tone > 0.45 ? 0.15 * part('iris') : part('iris'),
    },
  };
}

/** Share by which faceWidth 1 is wider. */
const WIDER = 0.045;

const FEATURES: Readonly<Partial<Record<keyof ShapeSpec, readonly Hill[]>>> = {
  cheekFullness: bothSides({ at: [42, -8, 36], sigma: 17, move: [1.8, 0, 3] }),
  noseWidth: bothSides({ at: [15, -9, 58], sigma: 7, move: [3, 0, 0] }),
  noseLength: [{ at: [0, -9, 72], sigma: 12, move: [0, -4, 1.2] }],
  noseBridge: [{ at: [0, 18, 60], sigma: 11, move: [0, 0, 3.2] }],
  lipFullness: [
    { at: [0, -37, 57], sigma: 9, move: [0, 1.3, 1.6] },
    { at: [0, -49, 55], sigma: 9, move: [0, -1.5, 1.8] },
  ],
  mouthWidth: bothSides({ at: [25, -43, 43], sigma: 11, move: [3, 0, -0.8] }),
  browRidge: bothSides({ at: [30, 45, 48], sigma: 13, move: [0, 0, 2.2] }),
  browHeight: bothSides({ at: [34, 47, 45], sigma: 14, move: [0, 2.6, 0] }),
  chinLength: [{ at: [0, -90, 46], sigma: 24, move: [0, -6.5, 1] }],
  asymmetry: [
    { at: [30, -40, 40], sigma: 26, move: [0.9, -0.8, 0.5] },
    { at: [-32, 28, 36], sigma: 18, move: [0.4, 0.7, 0] },
  ],
};

/** Distance of this person's pupils over the average. */
export function eyeSpacing({ shape }: Pick<IdentitySpec, 'shape'>): number {
  return 1 + WIDER * shape.faceWidth;
}

/** Coarse vertices (coarse, 3) mm of one person at rest. */
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
    out[i] += x * (WIDER * shape.faceWidth + 0.09 * shape.jawWidth * low);
    out[i + 2] += -2.5 * shape.foreheadSlope * smoothstep(45, 90, y) * smoothstep(-20, 40, z);
  }
  return out;
}
