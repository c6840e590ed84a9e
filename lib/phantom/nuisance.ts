/**
 * What may differ between two visits although nothing of it is a change of the face, drawn by chance within stated limits.
 *
 * Angles in degrees. Directions are uniform in a disc, factors uniform in their logarithm.
 */
import { type Random, randomFrom } from '#lib/stats/random.ts';
import type { NuisanceSpec } from './pair.ts';

/** Largest differences of the validation: light 8 degrees, intensity 15 %, colour 8 %, pose 4 degrees, distance 4 %. */
export const NUISANCE_LIMITS = { lightDeg: 8, intensity: 0.15, colour: 0.08, poseDeg: 4, distance: 0.04, expression: 0.08 } as const;

export const NUISANCE_PARTS = ['light', 'intensity', 'colour', 'pose', 'distance', 'expression'] as const;
export type NuisancePart = (typeof NUISANCE_PARTS)[number];

/** The parts named, drawn from `seed`; each part has a stream of its own, so that it is the same alone and among all. `view` draws pose and framing anew for each view of a visit. */
export function drawNuisance(seed: number, parts: readonly NuisancePart[], view: string): NuisanceSpec {
  const chance = randomFrom(seed);
  const has = (part: NuisancePart): boolean => parts.includes(part);
  const limits = NUISANCE_LIMITS;
  const out: { -readonly [K in keyof NuisanceSpec]: NuisanceSpec[K] } = { noiseSeed: chance.fork(`noise ${view}`).uint32() };
  if (has('light')) [out.lightAzimuthDeg, out.lightElevationDeg] = inDisc(chance.fork('light'), limits.lightDeg);
  if (has('intensity')) {
    const of = chance.fork('intensity');
    out.exposure = factor(of, limits.intensity);
    out.lampBalance = factor(of, limits.intensity);
    out.ambientFactor = factor(of, limits.intensity);
  }
  if (has('colour')) {
    const of = chance.fork('colour');
    out.red = factor(of, limits.colour);
    out.blue = factor(of, limits.colour);
  }
  if (has('pose')) {
    const of = chance.fork(`pose ${view}`);
    [out.yawDeg, out.pitchDeg] = inDisc(of, limits.poseDeg);
    out.rollDeg = within(of, limits.poseDeg);
    out.shiftXMm = within(of, 4);
    out.shiftYMm = within(of, 4);
  }
  if (has('distance')) {
    const of = chance.fork(`distance ${view}`);
    out.distanceFactor = factor(of, limits.distance);
    out.sizeFactor = factor(of, limits.distance);
  }
  if (has('expression')) {
    const of = chance.fork('expression');
    const most = limits.expression;
    out.expression = {
      smile: within(of, most),
      mouthOpen: most * of.uniform(),
      browRaise: within(of, most),
      lidClose: within(of, most),
      gazeXDeg: within(of, 2),
      gazeYDeg: within(of, 2),
    };
  }
  return out;
}

const within = (random: Random, most: number): number => most * (2 * random.uniform() - 1);

/** 1 / (1 + most) .. 1 + most */
const factor = (random: Random, most: number): number => Math.exp(within(random, Math.log(1 + most)));

function inDisc(random: Random, radius: number): [number, number] {
  const [r, angle] = [radius * Math.sqrt(random.uniform()), 2 * Math.PI * random.uniform()];
  return [r * Math.cos(angle), r * Math.sin(angle)];
}
