/** Two versions of a treatment's fields, side by side in words, for whoever has to choose between them. */
import type { Difference } from '#app/_parts/conflict-note.tsx';
import { ZONE_IDS, type ZoneId, zoneLabel } from '#shared/zones.ts';
import type { TreatmentFields } from './treatment-fields.ts';
import { PRODUCT_WORDS, PURPOSE_WORDS } from './treatment-words.ts';

const ROWS: readonly (readonly [string, (fields: TreatmentFields) => string])[] = [
  ['Day', ({ on }) => on],
  ['Purpose', ({ purpose }) => PURPOSE_WORDS[purpose]],
  ['Zones', ({ zones }) => zoneWords(zones)],
  ['Product class', ({ productClass }) => (productClass ? PRODUCT_WORDS[productClass] : '')],
  ['Volume, mL', ({ volumeMl }) => volumeMl],
  ['Pass', ({ pass }) => pass],
  ['USP units in the vial', enzyme(({ vialUnits }) => vialUnits)],
  ['Dissolved in, mL', enzyme(({ dissolvedInMl }) => dissolvedInMl)],
  ['Diluent', enzyme(({ diluent }) => diluent)],
  ['Amount', enzyme(amountWords)],
  ['Mixed with, mL', enzyme(({ mixedWithMl }) => mixedWithMl)],
  ['Note', ({ note }) => note],
];

export const treatmentDifferences = (mine: TreatmentFields, theirs: TreatmentFields): Difference[] =>
  ROWS.map(([label, words]) => ({ label, mine: words(mine), theirs: words(theirs) }));

/** Nothing of the enzyme is kept where it was not used or its amounts are not known. */
function enzyme(words: (fields: TreatmentFields) => string): (fields: TreatmentFields) => string {
  return (fields) => (fields.purpose === 'gel-dissolved' && fields.enzymeKnown ? words(fields) : '');
}

function amountWords({ amountKind, ml, marks, marksPerMl }: TreatmentFields): string {
  return amountKind === 'ml' ? `${ml} mL` : `${marks} marks of a syringe with ${marksPerMl} per mL`;
}

const zoneWords = (zones: ReadonlySet<ZoneId>): string =>
  ZONE_IDS.filter((zone) => zones.has(zone))
    .map(zoneLabel)
    .join('; ');
