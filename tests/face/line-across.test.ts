/** Lines planted in patches. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BESIDE_LINE_MM, lineAcross, type Patch } from '#lib/face/line-across.ts';

const CELL_MM = 0.4;
const [WIDTH, HEIGHT] = [45, 70];
const MARGIN = Math.ceil(BESIDE_LINE_MM / CELL_MM);

const patchOf = (value: (x: number, y: number) => number): Patch => ({
  width: WIDTH,
  height: HEIGHT,
  cellMm: CELL_MM,
  data: Float32Array.from({ length: WIDTH * HEIGHT }, (_, k) => value(k % WIDTH, Math.floor(k / WIDTH))),
});

describe('law', () => {
  it('a planted arch is found where it is, with the contrast it has, dark or bright, on a slope of shading', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.2, max: 1, noNaN: true }),
        fc.constantFrom(-1, 1),
        fc.integer({ min: MARGIN + 6, max: HEIGHT - MARGIN - 7 }),
        fc.integer({ min: -5, max: 5 }),
        fc.integer({ min: 1, max: 4 }), // 1.2 to 3.6 mm thick
        fc.double({ min: -0.005, max: 0.005, noNaN: true }),
        (contrast, sign, middle, rise, half, slope) => {
          const row = (x: number) => Math.round(middle + rise * (1 - ((2 * x) / (WIDTH - 1) - 1) ** 2) - rise / 2);
          const found = lineAcross(patchOf((x, y) => slope * y + (Math.abs(y - row(x)) <= half ? sign * contrast : 0)));
          // where an arch is steep the mean over three columns reaches past its edge
          expect(found.contrast).toBeGreaterThan(0.6 * contrast - 0.08);
          expect(found.contrast).toBeLessThan(contrast + 0.08);
          for (let x = 0; x < WIDTH; x++) expect(Math.abs(found.rows[x] - row(x))).toBeLessThanOrEqual(half);
        },
      ),
      { numRuns: 60, seed: 7 },
    );
  });

  it('an edge between light and dark is no line, nor is even shading', () => {
    expect(lineAcross(patchOf((_, y) => (y > 35 ? 1 : 0))).contrast).toBe(0);
    expect(lineAcross(patchOf((x, y) => 0.03 * y + 0.02 * x)).contrast).toBeCloseTo(0, 6);
  });

  it('a line over half of the width counts for nothing, however plain', () => {
    expect(lineAcross(patchOf((x, y) => (y === 35 && x < WIDTH / 2 ? -2 : 0))).contrast).toBe(0);
  });
});

describe('refusal', () => {
  it('a patch without room beside the line is a mistake of the caller', () => {
    expect(() => lineAcross({ width: 20, height: 2 * MARGIN, cellMm: CELL_MM, data: new Float32Array(40 * MARGIN) })).toThrow(RangeError);
  });
});
