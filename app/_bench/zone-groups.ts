/** Zones in the order one reads a face: from the top down, both sides together. */
import type { ZoneId } from '#shared/zones.ts';

export const ZONE_GROUPS: readonly Readonly<{ name: string; zones: readonly ZoneId[] }>[] = [
  { name: 'Upper face', zones: ['forehead', 'glabella', 'temple-right', 'temple-left'] },
  {
    name: 'Midface',
    zones: [
      'infraorbital-right',
      'infraorbital-left',
      'midface-right',
      'midface-left',
      'submalar-right',
      'submalar-left',
      'nasal-dorsum',
      'nasal-tip',
      'nasolabial-right',
      'nasolabial-left',
    ],
  },
  {
    name: 'Mouth',
    zones: ['upper-lip-right', 'upper-lip-left', 'philtrum', 'vermilion-upper', 'vermilion-lower', 'commissure-right', 'commissure-left'],
  },
  {
    name: 'Lower face',
    zones: ['marionette-right', 'marionette-left', 'prejowl-right', 'prejowl-left', 'chin', 'jawline-right', 'jawline-left'],
  },
];
