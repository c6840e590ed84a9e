/**
 * Two photographs of one synthetic person: before, and after a known change, with whatever differed between the visits.
 *
 * Angles in degrees, see types.ts.
 */

import type { Srgb8Raster } from '#lib/photo/types.ts';
import { turnedLight } from './light.ts';
import { type PhantomOptions, phantomSpec, renderFace } from './render.ts';
import type { ExpressionSpec, LossSpec, PhantomSpec, PhantomTruth } from './types.ts';

/** What differs at the second visit although nothing of it is a change of the face. All default to no difference. */
export type NuisanceSpec = Readonly<
  Partial<{
    /** All lamps turned to image right and up. */
    lightAzimuthDeg: number;
    lightElevationDeg: number;
    /** Second lamp's power against the first, as a factor. */
    lampBalance: number;
    ambientFactor: number;
    /** Factors of red and blue against green. */
    red: number;
    blue: number;
    yawDeg: number;
    pitchDeg: number;
    rollDeg: number;
    shiftXMm: number;
    shiftYMm: number;
    /** Factor of camera distance; the photographer reframes, so only the perspective differs. */
    distanceFactor: number;
    /** Factor of the size of the face in the picture. */
    sizeFactor: number;
    exposure: number;
    expression: Partial<ExpressionSpec>;
    noiseSeed: number;
  }>
>;

export type PairOptions = Omit<PhantomOptions, 'loss'> & Readonly<{ loss?: readonly LossSpec[]; nuisance?: NuisanceSpec }>;

/** The two specifications of a pair. */
export function pairSpecs({ loss = [], nuisance = {}, ...base }: PairOptions): { before: PhantomSpec; after: PhantomSpec } {
  const before = phantomSpec(base);
  const { pose, camera, expression } = before;
  const turned = turnedLight(before.light, { azimuthDeg: nuisance.lightAzimuthDeg ?? 0, elevationDeg: nuisance.lightElevationDeg ?? 0 });
  const ambient = nuisance.ambientFactor ?? 1;
  const after: PhantomSpec = {
    ...before,
    loss,
    pose: {
      yawDeg: pose.yawDeg + (nuisance.yawDeg ?? 0),
      pitchDeg: pose.pitchDeg + (nuisance.pitchDeg ?? 0),
      rollDeg: pose.rollDeg + (nuisance.rollDeg ?? 0),
      shiftXMm: pose.shiftXMm + (nuisance.shiftXMm ?? 0),
      shiftYMm: pose.shiftYMm + (nuisance.shiftYMm ?? 0),
    },
    light: {
      lamps: turned.lamps.map((lamp, k) => (k === 1 ? { ...lamp, power: lamp.power * (nuisance.lampBalance ?? 1) } : lamp)),
      ambient: { above: turned.ambient.above * ambient, front: turned.ambient.front * ambient, below: turned.ambient.below * ambient },
      warmth: { red: turned.warmth.red * (nuisance.red ?? 1), blue: turned.warmth.blue * (nuisance.blue ?? 1) },
    },
    expression: Object.fromEntries(
      Object.entries(expression).map(([key, value]) => [key, value + (nuisance.expression?.[key as keyof ExpressionSpec] ?? 0)]),
    ) as ExpressionSpec,
    camera: {
      ...camera,
      distanceMm: camera.distanceMm * (nuisance.distanceFactor ?? 1),
      interpupillaryPx: camera.interpupillaryPx * (nuisance.sizeFactor ?? 1),
      exposure: camera.exposure * (nuisance.exposure ?? 1),
      noiseSeed: nuisance.noiseSeed ?? camera.noiseSeed + 1,
    },
  };
  return { before, after };
}

export type PhantomShot = Readonly<{ raster: Srgb8Raster; truth: PhantomTruth }>;

/** Renders both photographs of a pair. */
export function phantomPair(options: PairOptions): { before: PhantomShot; after: PhantomShot } {
  const { before, after } = pairSpecs(options);
  return { before: renderFace(before), after: renderFace(after) };
}
