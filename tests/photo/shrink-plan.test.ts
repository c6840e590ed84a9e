import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Orientation, storedRect, turnedSize, turnOf, uprightWalk } from '#lib/photo/orientation.ts';
import { clampedCrop, evenSize, fitWithin, placementOf, planOfCut } from '#lib/photo/shrink-plan.ts';

const anySize = fc.record({ width: fc.integer({ min: 64, max: 9000 }), height: fc.integer({ min: 64, max: 9000 }) });
const share = fc.double({ min: 0, max: 0.9, noNaN: true });
const anyScale = fc.double({ min: 0.05, max: 1, noNaN: true });

describe('law', () => {
  it('a cut is whole px inside the picture, covers the crop but for 8 working px at the border, at a scale near the one asked for', () => {
    fc.assert(
      fc.property(anySize, share, share, share, share, anyScale, (size, left, top, right, bottom, asked) => {
        const crop = clampedCrop(
          {
            x: left * size.width,
            y: top * size.height,
            width: (1 - left) * size.width * (0.1 + right),
            height: (1 - top) * size.height * (0.1 + bottom),
          },
          size,
        )!;
        const plan = planOfCut(crop, size, asked);
        const { scale } = plan;
        expect(Math.abs(scale / asked - 1)).toBeLessThan(0.002001);
        const { offsetX, offsetY } = placementOf(plan);
        for (const [from, length, whole, cutAt, cut, working, offset] of [
          [crop.x, crop.width, size.width, plan.cut.x, plan.cut.width, plan.working.width, offsetX],
          [crop.y, crop.height, size.height, plan.cut.y, plan.cut.height, plan.working.height, offsetY],
        ] as const) {
          for (const px of [cutAt, cut, working]) expect(Number.isInteger(px)).toBe(true);
          expect(cutAt).toBeGreaterThanOrEqual(0);
          expect(cut).toBeGreaterThanOrEqual(1);
          expect(working).toBeGreaterThanOrEqual(1);
          expect(cutAt + cut).toBeLessThanOrEqual(whole);
          expect(cutAt).toBeLessThanOrEqual(from + 1e-5);
          expect(cutAt + cut).toBeGreaterThanOrEqual(Math.min(from + length, whole) - 9 / scale - 1);
          expect(cut).toBeLessThanOrEqual(length + 26 / scale + 2);
          // the middle of the cut is where the placement says
          expect((working / 2 + offset) / scale).toBeCloseTo(cutAt + cut / 2, 6);
        }
      }),
      { numRuns: 500 },
    );
  });

  it('is seldom off by 0.04 px over the whole cut, and keeps to the scale asked for wherever that is possible', () => {
    let exact = 0;
    let off = 0;
    const CASES = 1000;
    for (let i = 0; i < CASES; i++) {
      const asked = 0.2 + 0.00077 * i;
      const size = { width: 3000 + 7 * (i % 401), height: 2000 + 11 * (i % 203) };
      const { cut, working, scale } = planOfCut({ x: 500, y: 0, width: 1500 + (i % 90), height: size.height }, size, asked);
      if (scale === asked) exact++;
      if (Math.max(Math.abs(cut.width - working.width / scale), Math.abs(cut.height - working.height / scale)) > 0.04) off++;
    }
    expect(off).toBeLessThan(0.01 * CASES);
    expect(exact).toBeGreaterThan(0.4 * CASES);
  });

  it('at full size the cut is the crop', () => {
    expect(planOfCut({ x: 10, y: 20, width: 33, height: 44 }, { width: 100, height: 100 }, 1)).toEqual({
      cut: { x: 10, y: 20, width: 33, height: 44 },
      working: { width: 33, height: 44 },
      window: { x: 0, y: 0, width: 33, height: 44 },
      scale: 1,
    });
  });

  it('an even size shrinks both sides alike, or there is none', () => {
    expect(evenSize({ width: 4000, height: 3000 }, 0.3001)).toEqual({ width: 1200, height: 900 });
    expect(evenSize({ width: 4001, height: 3000 }, 0.3)).toBeNull();
  });

  it('a glance is as long as asked, never longer than the picture, never nothing', () => {
    expect(fitWithin({ width: 4000, height: 3000 }, 640)).toEqual({ width: 640, height: 480 });
    expect(fitWithin({ width: 400, height: 300 }, 640)).toEqual({ width: 400, height: 300 });
    expect(fitWithin({ width: 4000, height: 1 }, 10)).toEqual({ width: 10, height: 1 });
  });

  it('a crop that misses the picture is none', () => {
    const size = { width: 100, height: 80 };
    expect(clampedCrop({ x: 100, y: 0, width: 10, height: 10 }, size)).toBeNull();
    expect(clampedCrop({ x: -10, y: -10, width: 20, height: 200 }, size)).toEqual({ x: 0, y: 0, width: 10, height: 80 });
  });

  it('walking an upright raster visits each stored pixel once, whatever the orientation', () => {
    for (const orientation of [1, 2, 3, 4, 5, 6, 7, 8] as Orientation[]) {
      const stored = { width: 7, height: 4 };
      const turn = turnOf(orientation);
      const { width, height } = turnedSize(stored, turn);
      const { start, alongU, alongV } = uprightWalk(stored, turn);
      const seen = Array.from({ length: width * height }, (_, i) => start + (i % width) * alongU + Math.floor(i / width) * alongV);
      expect([...seen].sort((a, b) => a - b)).toEqual(Array.from({ length: 28 }, (_, i) => i));
      // and the rectangle of one upright pixel is the stored pixel that the walk visits
      seen.forEach((index, i) => {
        const { x, y } = storedRect({ x: i % width, y: Math.floor(i / width), width: 1, height: 1 }, turn, { width, height });
        expect(y * stored.width + x).toBe(index);
      });
    }
  });
});
