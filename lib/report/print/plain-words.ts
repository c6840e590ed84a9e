/** The places of the face, months and changes in the words of someone who has never seen an atlas. Left and right are the reader's own. */

import type { ZoneResult } from '#shared/comparison.ts';
import { addDays } from '#shared/days.ts';
import type { ZoneId } from '#shared/zones.ts';

const SIDED: Readonly<Record<string, (side: string) => string>> = {
  temple: (side) => `your ${side} temple`,
  infraorbital: (side) => `under your ${side} eye`,
  midface: (side) => `your ${side} cheek`,
  submalar: (side) => `the hollow of your ${side} cheek`,
  nasolabial: (side) => `the ${side} fold from nose to mouth`,
  'upper-lip': (side) => `the skin above your upper lip, ${side} half`,
  commissure: (side) => `the ${side} corner of your mouth`,
  marionette: (side) => `the fold below the ${side} corner of your mouth`,
  prejowl: (side) => `beside your chin, ${side} side`,
  jawline: (side) => `your jaw, ${side} side`,
};

const WHOLE: Readonly<Record<string, string>> = {
  forehead: 'your brow',
  glabella: 'between your eyebrows',
  'nasal-dorsum': 'the bridge of your nose',
  'nasal-tip': 'the tip of your nose',
  philtrum: 'the dip above your upper lip',
  'vermilion-upper': 'your upper lip',
  'vermilion-lower': 'your lower lip',
  chin: 'your chin',
};

/** "midface-left" is "your left cheek". */
export function plainZone(zone: ZoneId): string {
  const side = zone.endsWith('-left') ? 'left' : zone.endsWith('-right') ? 'right' : null;
  const name = side ? SIDED[zone.slice(0, zone.lastIndexOf('-'))]?.(side) : WHOLE[zone];
  if (!name) throw new RangeError(`the zone ${zone} has no plain name`);
  return name;
}

/** "less full", "less full and darker"; empty when nothing is beyond error. */
export function plainChange({ metrics: { volumeMl, lightnessDelta } }: Pick<ZoneResult, 'metrics'>): string {
  const words = [
    volumeMl?.finding === 'beyond-error' ? (volumeMl.value < 0 ? 'less full' : 'fuller') : '',
    lightnessDelta?.finding === 'beyond-error' ? (lightnessDelta.value < 0 ? 'darker' : 'lighter') : '',
  ];
  return words.filter(Boolean).join(' and ');
}

const MONTHS = ['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September', 'October', 'November', 'December'];

/** "2026-11-25" is "25 November 2026". */
export function plainDay(day: string): string {
  const [year, month, date] = addDays(day, 0).split('-').map(Number);
  return `${date} ${MONTHS[month! - 1]} ${year}`;
}
