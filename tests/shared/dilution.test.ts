/** Enzyme sums against a table worked out by hand, their laws, their words, and the gel left after passes. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Enzyme, SolutionAmount } from '#shared/case.ts';
import { amountMl, enzymeSums, marksOf, strengthUnitsPerMl, U100_MARKS_PER_ML } from '#shared/dilution.ts';
import { amountWords, enzymeDoubts, MARK_IS_NO_UNIT, mixWords, sumWords } from '#shared/dilution-words.ts';
import { USUAL_SETTINGS } from '#shared/practice.ts';
import { gelLeft, gelLeftWords, passesOf } from '#shared/residual-gel.ts';

const marks = (n: number, marksPerMl = U100_MARKS_PER_ML): SolutionAmount => ({ kind: 'marks', marks: n, marksPerMl });
const ml = (n: number): SolutionAmount => ({ kind: 'ml', ml: n });
const enzyme = (vialUnits: number, dissolvedInMl: number, amount: SolutionAmount, mixedWithMl = 0): Enzyme => ({
  vialUnits,
  dissolvedInMl,
  diluent: 'saline',
  amount,
  mixedWithMl,
});

describe('oracle: worked out by hand, column by column', () => {
  // vial U, in mL, amount, mixed mL | U/mL, solution mL, units, total mL, U/mL injected
  const table: [number, number, SolutionAmount, number, number, number, number, number, number][] = [
    [150, 1, ml(0.1), 0, 150, 0.1, 15, 0.1, 150],
    [150, 1, marks(10), 0, 150, 0.1, 15, 0.1, 150],
    [150, 1, marks(1), 0, 150, 0.01, 1.5, 0.01, 150],
    [150, 1, ml(1), 0, 150, 1, 150, 1, 150],
    [150, 2, ml(0.1), 0, 75, 0.1, 7.5, 0.1, 75],
    [150, 2, marks(20), 0, 75, 0.2, 15, 0.2, 75],
    [150, 5, marks(10), 0, 30, 0.1, 3, 0.1, 30],
    [150, 10, ml(0.2), 0, 15, 0.2, 3, 0.2, 15],
    [200, 1, marks(5), 0, 200, 0.05, 10, 0.05, 200],
    [200, 2, marks(10), 0, 100, 0.1, 10, 0.1, 100], // the one strength at which a mark happens to hold a unit
    [300, 2, ml(0.25), 0, 150, 0.25, 37.5, 0.25, 150],
    [500, 5, ml(0.3), 0, 100, 0.3, 30, 0.3, 100],
    [1500, 1, ml(0.02), 0, 1500, 0.02, 30, 0.02, 1500],
    [1500, 1, marks(10), 0, 1500, 0.1, 150, 0.1, 1500],
    [1500, 5, marks(10), 0, 300, 0.1, 30, 0.1, 300],
    [1500, 10, ml(0.1), 0, 150, 0.1, 15, 0.1, 150],
    [1500, 10, marks(30), 0, 150, 0.3, 45, 0.3, 150],
    [150, 1, marks(5, 50), 0, 150, 0.1, 15, 0.1, 150], // a syringe of 50 marks per mL
    [150, 1, marks(4, 40), 0, 150, 0.1, 15, 0.1, 150],
    // The mix for one half of the upper lip: 0.10 mL solution + 0.20 mL lidocaine 1 % = 0.30 mL (common practice, no published source).
    [150, 1, ml(0.1), 0.2, 150, 0.1, 15, 0.3, 50],
    [150, 1, marks(10), 0.2, 150, 0.1, 15, 0.3, 50],
    [300, 1, marks(10), 0.2, 300, 0.1, 30, 0.3, 100],
    [1500, 5, ml(0.1), 0.1, 300, 0.1, 30, 0.2, 150],
    [150, 1, ml(0.5), 0.5, 150, 0.5, 75, 1, 75],
    [75, 1, marks(20), 0.3, 75, 0.2, 15, 0.5, 30],
  ];
  it.each(table)('%d U in %d mL, %o, mixed with %d mL', (vial, inMl, amount, mixed, strength, solutionMl, units, totalMl, injected) => {
    expect(enzymeSums(enzyme(vial, inMl, amount, mixed))).toEqual({
      strengthUnitsPerMl: strength,
      solutionMl,
      units,
      totalMl,
      injectedUnitsPerMl: injected,
      vials: units / vial,
    });
  });
  it('ten marks of a U-100 syringe are 0.10 mL', () => {
    expect(amountMl(marks(10))).toBe(0.1);
    expect(MARK_IS_NO_UNIT).toContain('ten marks are 0.10 mL');
  });
});

const anyAmount = fc.oneof(
  fc.double({ min: 0.001, max: 20, noNaN: true }).map(ml),
  fc.tuple(fc.double({ min: 0.1, max: 1000, noNaN: true }), fc.double({ min: 1, max: 1000, noNaN: true })).map(([n, per]) => marks(n, per)),
);
const anyEnzyme = fc
  .tuple(
    fc.double({ min: 1, max: 1e5, noNaN: true }),
    fc.double({ min: 0.1, max: 100, noNaN: true }),
    anyAmount,
    fc.double({ min: 0, max: 20, noNaN: true }),
  )
  .map(([vial, inMl, amount, mixed]) => enzyme(vial, inMl, amount, mixed));
const near = (a: number, b: number) => Math.abs(a - b) <= 1e-9 * Math.max(Math.abs(a), Math.abs(b));

describe('law', () => {
  it('units and volume are conserved by mixing; strength falls by the share of solution', () => {
    fc.assert(
      fc.property(anyEnzyme, (one) => {
        const mixed = enzymeSums(one);
        const unmixed = enzymeSums({ ...one, mixedWithMl: 0 });
        expect(mixed.units).toBe(unmixed.units);
        expect(near(mixed.injectedUnitsPerMl * mixed.totalMl, mixed.units)).toBe(true);
        expect(mixed.injectedUnitsPerMl).toBeLessThanOrEqual(mixed.strengthUnitsPerMl * (1 + 1e-9));
        expect(unmixed.injectedUnitsPerMl / unmixed.strengthUnitsPerMl).toBeCloseTo(1, 9);
      }),
    );
  });
  it('the whole vial injected is its units, and twice the diluent is half the strength', () => {
    fc.assert(
      fc.property(anyEnzyme, (one) => {
        expect(near(enzymeSums({ ...one, amount: ml(one.dissolvedInMl) }).units, one.vialUnits)).toBe(true);
        expect(near(2 * strengthUnitsPerMl({ ...one, dissolvedInMl: 2 * one.dissolvedInMl }), strengthUnitsPerMl(one))).toBe(true);
      }),
    );
  });
  it('marks and mL are two readings of one volume, whatever the strength', () => {
    fc.assert(
      fc.property(anyEnzyme, fc.double({ min: 1, max: 1000, noNaN: true }), (one, per) => {
        const volume = amountMl(one.amount);
        expect(near(amountMl(marks(marksOf(volume, per), per)), volume)).toBe(true);
        const asMarks = enzymeSums({ ...one, amount: marks(marksOf(volume, per), per) });
        expect(near(asMarks.units, enzymeSums(one).units)).toBe(true);
      }),
    );
  });
  it('a mark is never taken for a unit: the number of marks does not fix the units', () => {
    expect(enzymeSums(enzyme(150, 1, marks(10))).units).not.toBe(enzymeSums(enzyme(1500, 1, marks(10))).units);
  });
});

describe('law: words', () => {
  const shown = (text: string) => text.replaceAll('\u00a0', ' ');
  it('show marks and mL, and units beside them with their name', () => {
    const mix = enzyme(150, 1, marks(10), 0.2);
    expect(shown(amountWords(mix))).toBe('10 marks of a U-100 syringe (0.10 mL)');
    expect(shown(amountWords(enzyme(150, 1, ml(0.1))))).toBe('0.10 mL (10 marks of a U-100 syringe)');
    expect(shown(amountWords(enzyme(150, 1, marks(5, 50))))).toBe('5 marks of a syringe of 50 marks per mL (0.10 mL)');
    expect(shown(sumWords(enzymeSums(mix)))).toBe('150 USP units per mL \u00d7 0.10 mL = 15 USP units');
    expect(shown(mixWords(mix, enzymeSums(mix)))).toBe('0.10 mL + 0.20 mL = 0.30 mL, 50 USP units per mL as injected');
    expect(mixWords(enzyme(150, 1, ml(0.1)), enzymeSums(enzyme(150, 1, ml(0.1))))).toBe('');
  });
  it('doubt slips of the keyboard, and nothing usual', () => {
    expect(
      [enzyme(150, 1, marks(10)), enzyme(150, 2, ml(0.5)), enzyme(1500, 1, ml(0.02)), enzyme(1500, 10, marks(30), 0.2)].flatMap(
        enzymeDoubts,
      ),
    ).toEqual([]);
    expect(enzymeDoubts(enzyme(1500, 0.5, ml(0.1))).join()).toMatch(/stronger than usual/);
    expect(enzymeDoubts(enzyme(10, 10, ml(0.1))).join()).toMatch(/weaker than usual/);
    expect(enzymeDoubts(enzyme(150, 1, marks(150))).join()).toMatch(/1\.5 times what the vial holds.*entered as marks/);
    expect(enzymeDoubts(enzyme(1500, 10, ml(10))).join()).toMatch(/marks entered as mL/);
  });
  it('doubt, and never throw, whatever is typed', () => {
    fc.assert(
      fc.property(anyEnzyme, (one) => {
        expect([...enzymeDoubts(one), amountWords(one)].join('')).not.toMatch(/NaN|undefined|Infinity/);
      }),
    );
  });
});

describe('oracle: gel left after passes that remove about 70 % each (common practice, no published source)', () => {
  it('30 %, 9 % and 2.7 % remain', () => {
    const exact = { removedPerPass: [0.7, 0.7] as [number, number] };
    expect([1, 2, 3].map((n) => gelLeft(n, exact)[0])).toEqual([expect.closeTo(0.3), expect.closeTo(0.09), expect.closeTo(0.027)]);
    expect([1, 2, 3].map((n) => gelLeftWords(n, exact))).toEqual(['30 %', '9 %', '2.7 %']);
  });
  it('as a range of 60 to 80 %', () => {
    expect([0, 1, 2, 3, 4].map((n) => gelLeftWords(n, USUAL_SETTINGS.facts))).toEqual([
      '100 %',
      '20 to 40 %',
      '4 to 16 %',
      '0.8 to 6.4 %',
      '0.2 to 2.6 %',
    ]);
  });
  it('counts passes in a zone by day; gel placed anew begins again', () => {
    const treatment = (on: string, purpose: 'gel-dissolved' | 'gel-placed' | 'energy-device', pass: number | null = null) => ({
      on,
      purpose,
      pass,
      zones: ['chin' as const],
    });
    expect(passesOf('chin', [treatment('2026-03-02', 'gel-dissolved'), treatment('2026-03-01', 'gel-dissolved')])).toBe(2);
    expect(passesOf('chin', [treatment('2026-03-01', 'gel-dissolved', 3), treatment('2026-03-05', 'gel-dissolved')])).toBe(4);
    expect(
      passesOf('chin', [
        treatment('2026-03-01', 'gel-dissolved'),
        treatment('2026-03-05', 'gel-placed'),
        treatment('2026-03-09', 'energy-device'),
      ]),
    ).toBe(0);
    expect(passesOf('glabella', [treatment('2026-03-01', 'gel-dissolved')])).toBe(0);
  });
  it('more passes leave less, and no pass leaves all', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 10 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (n, a, b) => {
          const facts = { removedPerPass: [a, b] as [number, number] };
          const [low, high] = gelLeft(n, facts);
          expect(low).toBeLessThanOrEqual(high);
          expect(gelLeft(n + 1, facts)[1]).toBeLessThanOrEqual(high);
          expect(gelLeft(0, facts)).toEqual([1, 1]);
        },
      ),
    );
  });
});

describe('refusal', () => {
  it('passes that are no count are a mistake', () => {
    expect(() => gelLeft(1.5, USUAL_SETTINGS.facts)).toThrow(RangeError);
    expect(() => gelLeft(-1, USUAL_SETTINGS.facts)).toThrow(RangeError);
  });
});
