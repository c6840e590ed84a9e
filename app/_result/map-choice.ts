/** The maps that can lie over the after picture, and what their colours mean. */
import type { PlateInfo } from '#shared/plates.ts';
import type { Fields } from './use-plate.ts';

export const MAPS = ['none', 'displacement', 'lightness', 'trust'] as const;
export type MapChoice = (typeof MAPS)[number];
/** Maps with a zero in the middle of their scale. */
export type ChangeChoice = 'displacement' | 'lightness';
export const isChange = (map: MapChoice): map is ChangeChoice => map === 'displacement' || map === 'lightness';

export const MAP_WORDS = {
  none: { label: 'None', unit: '', ends: ['', ''] },
  displacement: { label: 'Displacement', unit: 'mm', ends: ['loss', 'gain'] },
  lightness: { label: 'Lightness', unit: 'L*', ends: ['darker', 'lighter'] },
  trust: { label: 'Trust in the light', unit: '%', ends: ['not trusted', 'fully trusted'] },
} as const satisfies Readonly<Record<MapChoice, { label: string; unit: string; ends: readonly [string, string] }>>;

export const fieldOf = (fields: Fields, map: ChangeChoice): Float32Array =>
  map === 'displacement' ? fields.displacementMm : fields.lightness;
export const ownSpan = (info: PlateInfo, map: ChangeChoice): number =>
  map === 'displacement' ? info.displacementSpanMm : info.lightnessSpan;

/** Half ranges offered beside the picture's own. */
export const SPANS: Readonly<Record<ChangeChoice, readonly number[]>> = {
  displacement: [0.5, 1, 2, 4],
  lightness: [2, 5, 10, 20],
};
