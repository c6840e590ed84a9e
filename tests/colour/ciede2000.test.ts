import { differenceCiede2000 } from 'culori';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ciede2000, ciede2000Raster } from '#lib/colour/ciede2000.ts';
import sharma from '#tests/oracles/ciede2000-sharma-2005.json' with { type: 'json' };

const colour = fc.tuple(
  fc.double({ min: 0, max: 100, noNaN: true }),
  fc.double({ min: -110, max: 110, noNaN: true }),
  fc.double({ min: -110, max: 110, noNaN: true }),
);
type Pair = [number, number, number, number, number, number];
const pairs = sharma.rows.map((row) => ({ pair: row.slice(0, 6) as Pair, published: row[6] }));

describe('oracle: Sharma, Wu & Dalal 2005, table 1', () => {
  it('holds all 34 pairs', () => expect(pairs).toHaveLength(34));

  it('agrees with every pair to the four decimals printed', () => {
    const wrong = pairs.filter(({ pair, published }) => ciede2000(...pair).toFixed(4) !== published.toFixed(4));
    expect(wrong).toEqual([]);
  });

  it('agrees with every pair the other way round', () => {
    const wrong = pairs.filter(
      ({ pair: [L1, a1, b1, L2, a2, b2], published }) => ciede2000(L2, a2, b2, L1, a1, b1).toFixed(4) !== published.toFixed(4),
    );
    expect(wrong).toEqual([]);
  });
});

describe('oracle: culori, mode lab65', () => {
  it('agrees on colours at large to 1e-9', () => {
    const theirs = differenceCiede2000();
    fc.assert(
      fc.property(colour, colour, ([L1, a1, b1], [L2, a2, b2]) => {
        // Near opposite hues the mean hue jumps and rounding decides; Sharma's pairs judge that edge.
        const turn = Math.abs(Math.atan2(b1 * a2 - a1 * b2, a1 * a2 + b1 * b2));
        fc.pre(Math.PI - turn > 1e-2 && Math.hypot(a1, b1) > 1e-6 && Math.hypot(a2, b2) > 1e-6);
        const expected = theirs({ mode: 'lab65', l: L1, a: a1, b: b1 }, { mode: 'lab65', l: L2, a: a2, b: b2 });
        expect(Math.abs(ciede2000(L1, a1, b1, L2, a2, b2) - expected)).toBeLessThan(1e-9);
      }),
      { seed: 11, numRuns: 500 },
    );
  });
});

describe('law', () => {
  it('is zero for a colour and itself, and positive for any other', () => {
    fc.assert(
      fc.property(colour, fc.double({ min: 0.01, max: 5, noNaN: true }), ([L, a, b], step) => {
        expect(ciede2000(L, a, b, L, a, b)).toBe(0);
        expect(ciede2000(L, a, b, L + step, a, b)).toBeGreaterThan(0);
      }),
      { seed: 12 },
    );
  });

  it('gives for a raster what it gives for each of its colours', () => {
    const a = Float32Array.from(pairs.flatMap(({ pair }) => pair.slice(0, 3)));
    const b = Float32Array.from(pairs.flatMap(({ pair }) => pair.slice(3)));
    const one = pairs.map((_, i) => ciede2000(...([...a.subarray(3 * i, 3 * i + 3), ...b.subarray(3 * i, 3 * i + 3)] as Pair)));
    expect(ciede2000Raster(a, b)).toEqual(Float32Array.from(one));
  });

  it('leaves its inputs as they were', () => {
    const a = Float32Array.of(50, 10, 20);
    const b = Float32Array.of(51, 11, 19);
    ciede2000Raster(a, b);
    expect([...a, ...b]).toEqual([50, 10, 20, 51, 11, 19]);
  });

  it('throws when two rasters do not match', () => {
    expect(() => ciede2000Raster(new Float32Array(3), new Float32Array(6))).toThrow(RangeError);
    expect(() => ciede2000Raster(new Float32Array(4), new Float32Array(4))).toThrow(RangeError);
  });
});
