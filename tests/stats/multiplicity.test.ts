import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { benjaminiHochberg, holm } from '#lib/stats/multiplicity.ts';
import { randomFrom } from '#lib/stats/random.ts';

describe('oracle: Benjamini & Hochberg 1995, the 15 hypotheses of their example', () => {
  const ps = [0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719, 0.6528, 0.759, 1];

  it('rejects 4 at a false discovery rate of 0.05, and 3 by Holm, as published', () => {
    expect(benjaminiHochberg(ps).filter((p) => p <= 0.05)).toHaveLength(4);
    expect(holm(ps).filter((p) => p <= 0.05)).toHaveLength(3);
  });

  it("gives the adjusted values of R's p.adjust", () => {
    const bh = [0.0015, 0.003, 0.0095, 0.035625, 0.0603, 0.06386, 0.06386, 0.0645, 0.0765, 0.486, 0.58118, 0.71488, 0.75323, 0.81321, 1];
    expect(benjaminiHochberg(ps).map((p) => Number(p.toPrecision(4)))).toEqual(bh.map((p) => Number(p.toPrecision(4))));
    const byHolm = [0.0015, 0.0056, 0.0247, 0.114, 0.2211, 0.278, 0.278, 0.278, 0.3213, 1, 1, 1, 1, 1, 1];
    expect(holm(ps).map((p) => Number(p.toFixed(6)))).toEqual(byHolm);
  });
});

describe('law', () => {
  const list = fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { maxLength: 20 });

  it('never lowers a probability, keeps their order, and never leaves 0 to 1', () => {
    fc.assert(
      fc.property(list, (ps) => {
        for (const adjusted of [holm(ps), benjaminiHochberg(ps)]) {
          const wrong = ps.flatMap((p, i) =>
            adjusted[i] < p || adjusted[i] > 1 || ps.some((q, j) => q < p && adjusted[j] > adjusted[i]) ? [i] : [],
          );
          expect(wrong).toEqual([]);
        }
      }),
      { seed: 31 },
    );
  });

  it('does not depend on the order in which the tests are listed', () => {
    const ps = [0.04, 0.001, 0.5, 0.012];
    expect(holm([...ps].reverse())).toEqual(holm(ps).reverse());
    expect(benjaminiHochberg([...ps].reverse())).toEqual(benjaminiHochberg(ps).reverse());
  });

  it('holds the chance of any false alarm to 5 % when nothing is there', () => {
    const random = randomFrom(32);
    const TRIALS = 4000;
    let alarms = 0;
    for (let i = 0; i < TRIALS; i++) if (Math.min(...holm(Array.from({ length: 25 }, random.uniform))) <= 0.05) alarms++;
    // Binomial, 4 standard errors.
    expect(alarms / TRIALS).toBeLessThan(0.05 + 4 * Math.sqrt((0.05 * 0.95) / TRIALS));
    expect(alarms / TRIALS).toBeGreaterThan(0.03); // and is not idle either
  });

  it('throws on what is no probability', () => {
    expect(() => holm([0.5, 1.5])).toThrow(/ps\[1\]/);
    expect(() => benjaminiHochberg([Number.NaN])).toThrow(RangeError);
  });
});
