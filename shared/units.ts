/**
 * Units. A number that leaves a function wears one of these, or has its unit in its name (`depthMm`, `volumeMl`).
 * Types and bare constructors only, so the pure rooms never load zod.
 */
import type { $brand } from 'zod';

export type Px = number & $brand<'px'>;
export type Mm = number & $brand<'mm'>;
export type Ml = number & $brand<'mL'>;
export type Deg = number & $brand<'deg'>;
export type Rad = number & $brand<'rad'>;
/** A pure ratio; 1 is no change. */
export type Ratio = number & $brand<'ratio'>;

export const px = (n: number): Px => n as Px;
export const mm = (n: number): Mm => n as Mm;
export const ml = (n: number): Ml => n as Ml;
export const deg = (n: number): Deg => n as Deg;
export const rad = (n: number): Rad => n as Rad;
export const ratio = (n: number): Ratio => n as Ratio;

/** A measured value and its standard uncertainty (k = 1), both in the same unit. */
export type Measured<U extends number = number> = Readonly<{ value: U; u: U }>;

export const degFromRad = (angle: number): Deg => ((angle * 180) / Math.PI) as Deg;
export const radFromDeg = (angle: number): Rad => ((angle * Math.PI) / 180) as Rad;
