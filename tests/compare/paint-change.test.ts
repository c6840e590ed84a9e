import { beforeAll, describe, expect, it } from 'vitest';
import { type Painted, paintChange } from '#lib/compare/paint-change.ts';
import { sight } from '#lib/compare/sight-all.ts';
import type { Face } from '#lib/face/types.ts';
import { photoPair } from './phantom-photos.ts';

let face: Face;
let hollow: Painted;

beforeAll(async () => {
  const sighted = await sight((await photoPair(21)).before, { kind: 'iris' });
  if (!sighted.ok) throw new Error(sighted.detail);
  face = sighted.value;
  hollow = paintChange(face, { zone: 'midface-left', volumeMl: -1, radiusMm: 22 });
});

/** Middle heights, px, of what became darker and of what became brighter, each weighted by how much; skin only moves a little, so its own pattern cancels. */
function heights({ picture }: Painted): { darker: number; brighter: number } {
  const sums = { darker: [0, 0], brighter: [0, 0] };
  for (let i = 0; i < picture.width * picture.height; i++) {
    const change = picture.data[3 * i + 1] - face.photo.data[3 * i + 1];
    const sum = change < 0 ? sums.darker : sums.brighter;
    sum[0] += Math.abs(change);
    sum[1] += Math.abs(change) * Math.floor(i / picture.width);
  }
  return { darker: sums.darker[1] / sums.darker[0], brighter: sums.brighter[1] / sums.brighter[0] };
}

describe('law', () => {
  it('leaves the picture as it is when nothing changes', () => {
    const { picture, zoneMl } = paintChange(face, { zone: 'chin', volumeMl: 0, radiusMm: 15 });
    expect(Object.values(zoneMl).every((ml) => ml === 0)).toBe(true);
    const worst = picture.data.reduce((most, value, i) => Math.max(most, Math.abs(value - face.photo.data[i])), 0);
    expect(worst).toBeLessThan(1e-6);
  });

  it('takes the volume asked for, most of it from the zone named, the rest from its neighbours', () => {
    const whole = Object.values(hollow.zoneMl).reduce((sum, ml) => sum + ml, 0);
    expect(hollow.zoneMl['midface-left']!).toBeLessThan(-0.6);
    expect(whole).toBeGreaterThanOrEqual(-1 - 1e-9);
    expect(whole).toBeLessThan(-0.85); // a little lies between the zones
    expect(Object.values(hollow.zoneMl).every((ml) => ml <= 0)).toBe(true);
  });

  it('has the depth of a round hollow of that volume', () => {
    // Flat: volume = A pi R^2 (1/2 - 2/pi^2); the cheek is curved, so a sixth more or less is right.
    const flat = -1000 / (Math.PI * 22 ** 2 * (0.5 - 2 / Math.PI ** 2));
    expect(hollow.peakMm / flat).toBeGreaterThan(0.83);
    expect(hollow.peakMm / flat).toBeLessThan(1.17);
  });

  it('touches nothing outside the hollow', () => {
    const { width } = hollow.picture;
    const forehead = 3 * (Math.round(face.landmarks[3 * 151 + 1]) * width + Math.round(face.landmarks[3 * 151]));
    for (let c = 0; c < 3; c++) expect(hollow.picture.data[forehead + c]).toBeCloseTo(face.photo.data[forehead + c], 6);
  });

  it('shades a hollow as lamps above do: darker on its upper slope, which faces down, and brighter on its lower one', () => {
    const { darker, brighter } = heights(hollow);
    expect((brighter - darker) * face.scale.mmPerPx).toBeGreaterThan(4);
  });

  it('turns the shading with the sign of the change', () => {
    const { darker, brighter } = heights(paintChange(face, { zone: 'midface-left', volumeMl: 1, radiusMm: 22 }));
    expect((darker - brighter) * face.scale.mmPerPx).toBeGreaterThan(4);
  });

  it('writes to nothing it was given, and gives the same for the same', () => {
    const before = face.photo.data.slice();
    const again = paintChange(face, { zone: 'midface-left', volumeMl: -1, radiusMm: 22 });
    expect(Buffer.from(again.picture.data.buffer).equals(Buffer.from(hollow.picture.data.buffer))).toBe(true);
    expect(face.photo.data).toEqual(before);
  });
});

describe('refusal', () => {
  it('throws for a hill that reaches no part of the face', () => {
    expect(() => paintChange(face, { zone: 'chin', volumeMl: -1, radiusMm: 0 })).toThrow(RangeError);
  });
});
