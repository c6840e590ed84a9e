/** The maps that can lie over the after picture, and what their colours mean. */
import type { PlateInfo } from '#shared/plates.ts';
import type { Fields } from './use-plate.ts';

export const MAPS = ['none', 'displacement', 'lightness'] as const;
export type MapChoice = (typeof MAPS)[number];

export const MAP_WORDS = {
  none: { label: 'None', unit: '', ends: ['', ''] },
  displacement: { label: 'Displacement', unit: 'mm', ends: ['loss', 'gain'] },
  lightness: { label: 'Lightness', unit: 'L*', ends: ['darker', 'lighter'] },
} as const satisfies Readonly<Record<MapChoice, { label: string; unit: string; ends: readonly [string, string] }>>;

export const fieldOf = (fields: Fields, map: Exclude<MapChoice, 'none'>): Float32Array =>
  map === 'displacement' ? fields.displacementMm : fields.lightness;
export const ownSpan = (info: PlateInfo, map: Exclude<MapChoice, 'none'>): number =>
  map === 'displacement' ? info.displacementSpanMm : info.lightnessSpan;

/** Half ranges offered beside the picture's own. */
export const SPANS: Readonly<Record<Exclude<MapChoice, 'none'>, readonly number[]>> = {
  displacement: [0.5, 1, 2, 4],
  lightness: [2, 5, 10, 20],
};
