/**
 * The zones of the face: their names and what each is for. Left and right are the subject's.
 * Their outlines on the canonical mesh are in `zone-outlines.ts`.
 */
export const ZONE_IDS = [
  'forehead',
  'glabella',
  'temple-left',
  'temple-right',
  'infraorbital-left',
  'infraorbital-right',
  'midface-left',
  'midface-right',
  'submalar-left',
  'submalar-right',
  'nasal-dorsum',
  'nasal-tip',
  'nasolabial-left',
  'nasolabial-right',
  'upper-lip-left',
  'upper-lip-right',
  'philtrum',
  'vermilion-upper',
  'vermilion-lower',
  'commissure-left',
  'commissure-right',
  'marionette-left',
  'marionette-right',
  'prejowl-left',
  'prejowl-right',
  'chin',
  'jawline-left',
  'jawline-right',
] as const;

export type ZoneId = (typeof ZONE_IDS)[number];

/**
 * Zones that gel is seldom placed in and that a resting face keeps still: the negative control, and the
 * anchor of light and displacement. Registration on forehead and nose follows Häner et al., Scientific Reports
 * (as listed in docs/sources.md). A zone the user names as treated stops being a reference.
 */
export const REFERENCE_ZONES: readonly ZoneId[] = ['forehead', 'glabella', 'nasal-dorsum'];

/** Zones with a fold whose shadow is measured in its own right. */
export const FOLD_ZONES: readonly ZoneId[] = [
  'infraorbital-left',
  'infraorbital-right',
  'nasolabial-left',
  'nasolabial-right',
  'marionette-left',
  'marionette-right',
];

/** Zones that move with speech and expression; a change there needs a still mouth in both photographs. */
export const MOBILE_ZONES: readonly ZoneId[] = [
  'upper-lip-left',
  'upper-lip-right',
  'philtrum',
  'vermilion-upper',
  'vermilion-lower',
  'commissure-left',
  'commissure-right',
  'marionette-left',
  'marionette-right',
  'chin',
];

/** "midface-left" becomes "Midface, left". */
export function zoneLabel(zone: ZoneId): string {
  const side = zone.endsWith('-left') ? ', left' : zone.endsWith('-right') ? ', right' : '';
  const stem = side ? zone.slice(0, zone.lastIndexOf('-')) : zone;
  const words = stem.replaceAll('-', ' ');
  return words.charAt(0).toUpperCase() + words.slice(1) + side;
}
