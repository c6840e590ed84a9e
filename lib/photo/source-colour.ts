/**
 * How the codes of a file become linear light with the primaries of sRGB: a curve for each channel, then a matrix.
 *
 * Model   relative colorimetry: the file's white becomes (1, 1, 1). Colours outside sRGB stay, below 0 or above 1.
 * Source  IEC 61966-2-1 (sRGB curve, also Display P3's); Adobe RGB (1998), version 2005-05, section 4.3.4 (power 563/256).
 */
import { srgbToLinear } from '#lib/colour/srgb.ts';
import type { Curve, IccProfile } from './icc-profile.ts';
import {
  ADOBE_RGB_PRIMARIES,
  DISPLAY_P3_PRIMARIES,
  linearSrgbFromPrimaries,
  linearSrgbFromProfile,
  type Primaries,
} from './rgb-primaries.ts';

export type ColourModel = 'rgb' | 'grey' | 'cmyk';

export type SourceColour = Readonly<{
  /** The profile's name, or that of the space the file says it is in; null when it says nothing and sRGB is assumed. */
  name: string | null;
  model: ColourModel;
  /** One curve for each channel of the file; one for grey. */
  curves: readonly Curve[];
  /** Row-major 3x3, linear file RGB to linear sRGB; null for the identity. */
  toLinearSrgb: Float64Array | null;
  /** True when the codec must convert to sRGB first: print colours, or a profile made of tables. */
  byCodec: boolean;
}>;

/** A matrix this near to the identity is that of sRGB with rounded numbers. */
const SAME_MATRIX = 2e-3;
/** A curve this near to that of sRGB, in linear light, is its table, rounded; a power of 2.2 differs by 4e-3. */
const SAME_CURVE = 1e-3;

const SRGB: SourceColour = {
  name: null,
  model: 'rgb',
  curves: [srgbToLinear, srgbToLinear, srgbToLinear],
  toLinearSrgb: null,
  byCodec: false,
};

/** From the channels a file has, the profile in it, and what its Exif or container says when there is no profile. */
export function sourceColour(model: ColourModel, profile: IccProfile | null, said: 'adobe-rgb' | 'display-p3' | null): SourceColour {
  if (model === 'cmyk') return { ...SRGB, name: profile?.name ?? null, model, byCodec: true };
  if (profile?.model === model) return ofProfile(profile, model);
  if (model === 'grey') return { ...SRGB, model, curves: [srgbToLinear] };
  if (said === 'adobe-rgb') return ofPrimaries('Adobe RGB (1998)', ADOBE_RGB_PRIMARIES, (code) => code ** (563 / 256));
  if (said === 'display-p3') return ofPrimaries('Display P3', DISPLAY_P3_PRIMARIES, srgbToLinear);
  return SRGB;
}

function ofProfile({ name, curves, toXyzD50 }: IccProfile, model: 'rgb' | 'grey'): SourceColour {
  const byCodec: SourceColour = { ...SRGB, name, model, byCodec: true };
  if (!curves?.every(isSane)) return byCodec;
  const exact = curves.map((curve) => (isSrgbCurve(curve) ? srgbToLinear : curve));
  if (model === 'grey') return { name, model, curves: exact, toLinearSrgb: null, byCodec: false };
  const matrix = toXyzD50 && linearSrgbFromProfile(toXyzD50);
  if (!matrix) return byCodec;
  return { name, model, curves: exact, toLinearSrgb: isIdentity(matrix) ? null : matrix, byCodec: false };
}

function ofPrimaries(name: string, primaries: Primaries, curve: Curve): SourceColour {
  return { name, model: 'rgb', curves: [curve, curve, curve], toLinearSrgb: linearSrgbFromPrimaries(primaries), byCodec: false };
}

/** Codes at which curves are compared. */
const PROBES = Float64Array.from({ length: 65 }, (_, i) => i / 64);

const isSrgbCurve = (curve: Curve): boolean => PROBES.every((code) => Math.abs(curve(code) - srgbToLinear(code)) < SAME_CURVE);

/** Rises from near black to near white. A damaged profile does not. */
const isSane = (curve: Curve): boolean =>
  Math.abs(curve(0)) < 0.1 &&
  Math.abs(curve(1) - 1) < 0.1 &&
  PROBES.every((code, i) => i === 0 || curve(code) >= curve(PROBES[i - 1]) - 1e-6);

const isIdentity = (m: Float64Array): boolean => m.every((value, i) => Math.abs(value - (i % 4 === 0 ? 1 : 0)) < SAME_MATRIX);
