/** The choices of a treatment in words. No brands: a product is called by its class. */
import type { Enzyme, PRODUCT_CLASSES, PURPOSES } from '#shared/case.ts';

export const PURPOSE_WORDS: Readonly<Record<(typeof PURPOSES)[number], string>> = {
  'gel-placed': 'Gel placed',
  'gel-dissolved': 'Gel dissolved with enzyme',
  'gel-pressed-out': 'Gel pressed out by needle',
  'energy-device': 'Energy device',
};

export const PRODUCT_WORDS: Readonly<Record<(typeof PRODUCT_CLASSES)[number], string>> = {
  'ha-gel-strongly-water-drawing': 'Hyaluronic acid gel, strongly water-drawing',
  'ha-gel-weakly-water-drawing': 'Hyaluronic acid gel, weakly water-drawing',
  'calcium-hydroxylapatite': 'Calcium hydroxylapatite',
  silicone: 'Silicone',
  fat: 'Fat',
  unknown: 'Unknown',
};

export const DILUENT_WORDS: Readonly<Record<Enzyme['diluent'], string>> = {
  saline: 'Saline',
  'bacteriostatic-saline': 'Bacteriostatic saline',
  'lidocaine-1-percent': 'Lidocaine 1 %',
  'lidocaine-2-percent': 'Lidocaine 2 %',
  water: 'Water for injections',
  other: 'Other',
};
