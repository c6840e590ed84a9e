/** The scale of change: the published table, even steps, symmetry, and eyes with a colour-vision deficiency. */
import { converter, differenceEuclidean, filterDeficiencyDeuter, filterDeficiencyProt, filterDeficiencyTrit } from 'culori';
import { describe, expect, it } from 'vitest';
import { divergingHex, divergingRgb, divergingTable } from '#shared/diverging.ts';

const lab = converter('lab65');
const distance = differenceEuclidean('lab65');
const colourOf = (t: number) => {
  const [r, g, b] = divergingRgb(t);
  return { mode: 'rgb' as const, r: r / 255, g: g / 255, b: b / 255 };
};

describe('oracle: Moreland, the published table of the cool-to-warm scale with 33 entries', () => {
  // Its first eleven rows, its middle and its end.
  const PUBLISHED: [number, number, number, number][] = [
    [0, 59, 76, 192],
    [1, 68, 90, 204],
    [2, 77, 104, 215],
    [3, 87, 117, 225],
    [4, 98, 130, 234],
    [5, 108, 142, 241],
    [6, 119, 154, 247],
    [7, 130, 165, 251],
    [8, 141, 176, 254],
    [9, 152, 185, 255],
    [10, 163, 194, 255],
    [16, 221, 221, 221],
    [32, 180, 4, 38],
  ];
  it('is met to one code', () => {
    const wrong = PUBLISHED.filter(([row, ...rgb]) => divergingRgb(row / 16 - 1).some((code, k) => Math.abs(code - rgb[k]!) > 1));
    expect(wrong).toEqual([]);
  });
});

describe('law', () => {
  it('no change is grey, and loss and gain are bluer and redder than it', () => {
    const [r, g, b] = divergingRgb(0);
    expect(new Set([r, g, b]).size).toBe(1);
    expect(divergingRgb(-1)[2]).toBeGreaterThan(divergingRgb(-1)[0]);
    expect(divergingRgb(1)[0]).toBeGreaterThan(divergingRgb(1)[2]);
  });
  it('grows darker steadily from zero outwards', () => {
    const lightness = Array.from({ length: 33 }, (_, i) => lab(colourOf(i / 16 - 1)).l);
    expect(lightness.slice(1, 17).filter((l, i) => l <= lightness[i]!)).toEqual([]);
    expect(lightness.slice(17).filter((l, i) => l >= lightness[16 + i]!)).toEqual([]);
  });
  it('takes steps that look alike: within each half none is twice as long as another', () => {
    for (const side of [-1, 1]) {
      const steps = Array.from({ length: 8 }, (_, i) => distance(colourOf((side * i) / 8), colourOf((side * (i + 1)) / 8)));
      expect(Math.max(...steps) / Math.min(...steps)).toBeLessThan(2);
    }
  });
  it('keeps a loss apart from an equal gain for every kind of eye', () => {
    for (const eye of [filterDeficiencyDeuter(1), filterDeficiencyProt(1), filterDeficiencyTrit(1)])
      for (const t of [0.25, 0.5, 1]) expect(distance(eye(colourOf(-t)), eye(colourOf(t)))).toBeGreaterThan(20 * Math.sqrt(t));
  });
  it('holds the end colours beyond the ends, and hands out copies', () => {
    expect(divergingRgb(-9)).toEqual(divergingRgb(-1));
    expect(divergingRgb(Infinity)).toEqual(divergingRgb(1));
    divergingTable().fill(0);
    expect(divergingHex(-1)).toBe('#3b4cc0');
  });
});

describe('refusal', () => {
  it('has no colour for what was not measured', () => {
    expect(() => divergingRgb(Number.NaN)).toThrow(RangeError);
  });
});
