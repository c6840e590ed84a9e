import { describe, expect, it } from 'vitest';
import { findMarker } from '#lib/face/marker.ts';
import { scaleFromMarker } from '#lib/face/scale.ts';
import type { HeadFit } from '#lib/face/types.ts';
import type { Srgb8Raster } from '#lib/photo/types.ts';

/** Marker 0 of the dictionary 4x4_50, row by row, 1 is white: OpenCV, predefined_dictionaries.hpp. */
const BITS = [
  [1, 0, 1, 1],
  [0, 1, 0, 1],
  [0, 0, 1, 1],
  [0, 0, 1, 0],
];

/** A grey picture with markers drawn on white paper, each turned, and narrowed across; every px is the mean of 16 samples. */
function paper(markers: readonly { x: number; y: number; side: number; turn?: number; narrow?: number }[], size = 400): Srgb8Raster {
  const data = new Uint8Array(3 * size * size);
  const sample = (px: number, py: number): number => {
    for (const { x, y, side, turn = 0, narrow = 1 } of markers) {
      const u = ((px - x) * Math.cos(turn) + (py - y) * Math.sin(turn)) / (side * narrow) + 0.5;
      const v = (-(px - x) * Math.sin(turn) + (py - y) * Math.cos(turn)) / side + 0.5;
      if (u < -0.3 || v < -0.3 || u > 1.3 || v > 1.3) continue;
      if (u < 0 || v < 0 || u >= 1 || v >= 1) return 235;
      const [column, row] = [Math.floor(u * 6) - 1, Math.floor(v * 6) - 1];
      return BITS[row]?.[column] ? 235 : 20;
    }
    return 140;
  };
  for (let row = 0; row < size; row++)
    for (let column = 0; column < size; column++) {
      let sum = 0;
      for (let k = 0; k < 16; k++) sum += sample(column + ((k % 4) + 0.5) / 4, row + ((k >> 2) + 0.5) / 4) / 16;
      data.fill(Math.round(sum), 3 * (row * size + column), 3 * (row * size + column) + 3);
    }
  return { encoding: 'srgb8', width: size, height: size, data };
}

describe('law', () => {
  it.each([
    [40, 0],
    [80, 0.3],
    [150, 0.8],
  ])('a marker of %d px turned by %f rad is measured within its stated uncertainty', async (side, turn) => {
    const got = await findMarker(paper([{ x: 200, y: 190, side, turn }]));
    if (!got.ok) throw new Error(got.detail);
    expect(Math.abs(got.value.sidePx / side - 1)).toBeLessThan(1.5 * got.value.relU);
    expect(got.value.relU).toBeLessThan(0.3 / side + 0.005);
  });

  it('its known side gives the scale; depth adds to the uncertainty as the camera comes nearer', () => {
    const head = (value: number) => ({ nearnessPerM: { value, u: 0 } }) as HeadFit;
    const far = scaleFromMarker({ sidePx: 100, relU: 0.002 }, 20, head(0.5));
    expect(far).toMatchObject({ mmPerPx: 0.2, source: 'marker' });
    expect(far.relU).toBeCloseTo(Math.hypot(0.002, 0.0075), 6);
    expect(scaleFromMarker({ sidePx: 100, relU: 0.002 }, 20, head(2)).relU).toBeGreaterThan(0.029);
  });
});

describe('refusal', () => {
  it.each([
    ['none', [], 'No marker was found'],
    [
      'two',
      [
        { x: 110, y: 200, side: 90 },
        { x: 290, y: 200, side: 90 },
      ],
      '2 markers',
    ],
    ['tilted', [{ x: 200, y: 200, side: 120, narrow: 0.8 }], 'tilted'],
    ['too small', [{ x: 200, y: 200, side: 17 }], ''],
  ] as const)('%s', async (_, markers, words) => {
    const got = await findMarker(paper(markers));
    expect(got).toMatchObject({ ok: false, why: 'marker-not-found' });
    if (!got.ok) expect(got.detail).toContain(words);
  });
});
