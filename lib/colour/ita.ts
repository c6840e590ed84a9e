/**
 * The individual typology angle: how light skin is, as one angle.
 *
 * Model   ITA = atan((L* - 50) / b*), degrees, from CIELAB D65; meant for skin, whose b* is positive.
 * Source  Chardon, Cretois & Hourseau, International Journal of Cosmetic Science 13(4):191-208, 1991,
 *         doi:10.1111/j.1467-2494.1991.tb00561.x, with the classes above 55, 41, 28, 10 and -30 degrees.
 *
 * It is a class of colour, not of origin, and not a phototype. White balance moves it: within a pair of photographs
 * it describes, it never measures.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { type Deg, degFromRad, rad } from '#shared/units.ts';

export const SKIN_CLASSES = ['very-light', 'light', 'intermediate', 'tan', 'brown', 'dark'] as const;
export type SkinClass = (typeof SKIN_CLASSES)[number];

/** Each class begins above its angle, degrees. */
const ABOVE_DEG: readonly (readonly [number, SkinClass])[] = [
  [55, 'very-light'],
  [41, 'light'],
  [28, 'intermediate'],
  [10, 'tan'],
  [-30, 'brown'],
];

/** Degrees from -90 (dark) to 90 (light). Refused where b* is not positive, since the angle then says nothing of skin. */
export function itaFromLabD65(lightness: number, b: number): Outcome<Deg, 'not-skin'> {
  if (!(b > 0) || !Number.isFinite(lightness))
    return refused(
      'not-skin',
      `The colour is bluish or grey (b* ${b.toFixed(1)}), so no skin class can be given; check the white balance of the photograph.`,
    );
  return found(degFromRad(rad(Math.atan2(lightness - 50, b))));
}

export function skinClassOfIta(ita: Deg): SkinClass {
  return ABOVE_DEG.find(([angle]) => ita > angle)?.[1] ?? 'dark';
}
