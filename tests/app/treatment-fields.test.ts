/** What is typed into the forms of treatments and settings becomes what is kept, and back again, without a change. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { isUsual, settingsFields, settingsOf } from '#app/_settings/settings-fields.ts';
import { draftOf, emptyFields, enzymeSoFar, fieldsOf, numberOf, type TreatmentFields } from '#app/_treatment/treatment-fields.ts';
import { PRODUCT_CLASSES, type TreatmentDraft } from '#shared/case.ts';
import { USUAL_SETTINGS } from '#shared/practice.ts';
import { ZONE_IDS } from '#shared/zones.ts';

const amount = fc.oneof(
  fc.integer({ min: 1, max: 2000 }).map((n) => ({ kind: 'ml' as const, ml: n / 100 })),
  fc
    .tuple(fc.integer({ min: 1, max: 1000 }), fc.integer({ min: 1, max: 1000 }))
    .map(([marks, marksPerMl]) => ({ kind: 'marks' as const, marks, marksPerMl })),
);
const enzyme = fc.record({
  vialUnits: fc.integer({ min: 1, max: 100_000 }),
  dissolvedInMl: fc.integer({ min: 1, max: 1000 }).map((n) => n / 10),
  diluent: fc.constantFrom('saline' as const, 'water' as const, 'lidocaine-1-percent' as const),
  amount,
  mixedWithMl: fc.integer({ min: 0, max: 200 }).map((n) => n / 10),
});
const zones = fc
  .uniqueArray(fc.constantFrom(...ZONE_IDS), { minLength: 1 })
  .map((chosen) => ZONE_IDS.filter((zone) => chosen.includes(zone)));
const common = {
  on: fc.constant('2026-11-16'),
  zones,
  productClass: fc.option(fc.constantFrom(...PRODUCT_CLASSES)),
  note: fc.constantFrom('', 'a note'),
};
const draft: fc.Arbitrary<TreatmentDraft> = fc.oneof(
  fc.record({
    ...common,
    purpose: fc.constant('gel-dissolved' as const),
    volumeMl: fc.constant(null),
    enzyme: fc.option(enzyme),
    pass: fc.option(fc.integer({ min: 1, max: 10 })),
  }),
  fc.record({
    ...common,
    purpose: fc.constantFrom('gel-placed' as const, 'gel-pressed-out' as const),
    volumeMl: fc.option(fc.integer({ min: 1, max: 500 }).map((n) => n / 10)),
    enzyme: fc.constant(null),
    pass: fc.constant(null),
  }),
);

describe('law: a treatment', () => {
  it('written into the fields and read again is the same', () => {
    fc.assert(
      fc.property(draft, (one) => {
        expect(draftOf(fieldsOf(one))).toEqual({ ok: true, draft: one });
      }),
    );
  });
  it('reads a decimal comma as well as a point', () => {
    expect(['0,1', '0.1', ' 5 ', '5,', '.5'].map(numberOf)).toEqual([0.1, 0.1, 5, 5, 0.5]);
    expect(['', 'ten', '1e3', '-1', '0,1,2', 'Infinity'].map(numberOf)).toEqual(Array(6).fill(Number.NaN));
  });
  it('keeps nothing of the enzyme when its amounts are not known, or gel was not dissolved', () => {
    const typed: TreatmentFields = {
      ...emptyFields('2026-11-16'),
      zones: new Set(['chin']),
      vialUnits: '150',
      dissolvedInMl: '1',
      ml: '0.1',
    };
    expect(enzymeSoFar(typed)).toMatchObject({ vialUnits: 150 });
    expect(draftOf({ ...typed, enzymeKnown: false })).toMatchObject({ ok: true, draft: { enzyme: null } });
    expect(draftOf({ ...typed, purpose: 'gel-placed' })).toMatchObject({ ok: true, draft: { enzyme: null } });
  });
});

describe('refusal', () => {
  it('names every field that is missing or out of bounds', () => {
    const faults = draftOf({ ...emptyFields(''), pass: '11' });
    expect(!faults.ok && faults.faults.map(({ field }) => field)).toEqual(['on', 'zones', 'pass', 'vialUnits', 'dissolvedInMl', 'ml']);
  });
  it('settings want numbers, zones and texts', () => {
    const fields = settingsFields(USUAL_SETTINGS);
    const wrong = settingsOf({
      ...fields,
      facts: { ...fields.facts, firstReviewDay: 'soon', removedLeast: '90' },
      hints: [{ key: 'k', zones: [], text: ' ', source: 'practice' }],
    });
    expect(!wrong.ok && wrong.faults).toEqual([
      'First review: a number is missing.',
      'One pass cannot remove at least more than at most.',
      'Hint 1 has no zone.',
      'Hint 1 has no text.',
    ]);
  });
});

describe('law: settings', () => {
  it('written into the fields and read again are the same', () => {
    const { revision: _, ...usual } = USUAL_SETTINGS;
    expect(settingsOf(settingsFields(usual))).toEqual({ ok: true, settings: usual });
  });
  it('a fact that is not the usual one is the practice\u2019s own', () => {
    expect([
      isUsual('firstReviewDay', '4'),
      isUsual('firstReviewDay', '5'),
      isUsual('removedLeast', '60'),
      isUsual('lipSolutionMl', '0,10'),
    ]).toEqual([true, false, true, true]);
  });
});
