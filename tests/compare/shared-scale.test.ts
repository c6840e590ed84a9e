/** One person has one size: a photograph whose own scale is poor does not bring its error into the millimetres of a comparison. */
import { describe, expect, it } from 'vitest';
import { compareFaces } from '#lib/compare/compare-pair.ts';
import { resizedHead } from '#lib/face/head.ts';
import type { Face } from '#lib/face/types.ts';
import { sightedPair } from '#tests/face/phantoms.ts';

/** The same face, its size read wrongly by `factor` and known only to 20 %. */
const misread = (face: Face, factor: number): Face => ({
  ...face,
  head: resizedHead(face.head, factor),
  scale: { ...face.scale, mmPerPx: face.scale.mmPerPx * factor, relU: 0.2 },
});

describe('law', () => {
  it('a before photograph that is 15 % off takes the size over from the after photograph, whose iris says it', async () => {
    const [before, after] = await sightedPair({ yawDeg: 2 });
    const { comparison } = compareFaces([misread(before, 1.15)], [after], {});
    expect(comparison.gate.comparable).toBe(true);
    expect(comparison.scale!.mmPerPx / before.scale.mmPerPx).toBeGreaterThan(0.97);
    expect(comparison.scale!.mmPerPx / before.scale.mmPerPx).toBeLessThan(1.03);
    expect(comparison.scale!.relU).toBeLessThan(0.06);
  });

  it('scales that are about equally good stay as each photograph reads them', async () => {
    const [before, after] = await sightedPair({ yawDeg: 2 });
    const { comparison } = compareFaces([before], [after], {});
    expect(comparison.scale!.mmPerPx).toBeCloseTo(before.scale.mmPerPx, 6);
  });
});
