import { createHash } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import { EYE_AXES, EYE_CENTRE } from '#lib/phantom/eyes.ts';
import { headGrid } from '#lib/phantom/head-grid.ts';
import { headTopology } from '#lib/phantom/head-topology.ts';
import { eyeSpacing, identityFrom, restHead } from '#lib/phantom/identity.ts';
import { coverEyes } from '#lib/phantom/lid-cover.ts';
import { pairSpecs, phantomPair } from '#lib/phantom/pair.ts';
import { phantomSpec, renderFace } from '#lib/phantom/render.ts';
import { melaninOf, reflectance } from '#lib/phantom/skin.ts';
import type { Srgb8Raster } from '#lib/photo/types.ts';

const SMALL = { widthPx: 400, heightPx: 500, interpupillaryPx: 100 } as const;
const sha = (raster: Srgb8Raster): string => createHash('sha256').update(raster.data).digest('hex');
const linear = (code: number): number => (code / 255 <= 0.04045 ? code / 255 / 12.92 : ((code / 255 + 0.055) / 1.055) ** 2.4);

/** Mean linear green of a square about a place, px. */
function brightness(raster: Srgb8Raster, x: number, y: number, half = 3): number {
  let sum = 0;
  for (let j = Math.round(y) - half; j <= Math.round(y) + half; j++)
    for (let i = Math.round(x) - half; i <= Math.round(x) + half; i++) sum += linear(raster.data[3 * (j * raster.width + i) + 1]);
  return sum / (2 * half + 1) ** 2;
}

describe('law', () => {
  test('the same specification gives the same bytes, another noise or person others', () => {
    const spec = phantomSpec({ camera: SMALL, quality: 'draft' });
    expect(sha(renderFace(spec).raster)).toBe(sha(renderFace(structuredClone(spec)).raster));
    expect(sha(renderFace(phantomSpec({ camera: { ...SMALL, noiseSeed: 2 }, quality: 'draft' })).raster)).not.toBe(
      sha(renderFace(spec).raster),
    );
    expect(sha(renderFace(phantomSpec({ identity: identityFrom(2), camera: SMALL, quality: 'draft' })).raster)).not.toBe(
      sha(renderFace(spec).raster),
    );
  });

  test('a specification is not written to', () => {
    const spec = phantomSpec({ camera: SMALL, quality: 'draft', loss: [{ zone: 'chin', volumeMl: -0.5 }] });
    const before = structuredClone(spec);
    renderFace(spec);
    expect(spec).toEqual(before);
  });

  test('the smooth surface passes through every landmark', () => {
    const grid = headGrid(2);
    const { vertices } = headTopology();
    const off = Array.from({ length: vertices.length / 3 }, (_, i) =>
      Math.hypot(
        grid.material[3 * i] - vertices[3 * i],
        grid.material[3 * i + 1] - vertices[3 * i + 1],
        grid.material[3 * i + 2] - vertices[3 * i + 2],
      ),
    );
    expect(off.flatMap((mm, i) => (mm > 0.35 ? [`${i}: ${mm.toFixed(2)} mm`] : []))).toEqual([]);
  });

  test('no skin cuts into an eyeball, on anybody', () => {
    const grid = headGrid(3);
    const offenders = Array.from({ length: 12 }, (_, k) => k + 1).filter((seed) => {
      const identity = identityFrom(seed);
      const rest = grid.carry(restHead(identity));
      coverEyes(rest, grid, eyeSpacing(identity));
      for (let i = 0; i < rest.length; i += 3) {
        if (grid.material[i + 2] < 20 || grid.innerSide[i / 3] > 0) continue;
        const [dx, dy, dz] = [
          Math.abs(rest[i]) - EYE_CENTRE[0] * eyeSpacing(identity),
          rest[i + 1] - EYE_CENTRE[1],
          rest[i + 2] - EYE_CENTRE[2],
        ];
        const inPlane = (dx / EYE_AXES[0]) ** 2 + (dy / EYE_AXES[1]) ** 2;
        if (inPlane < 0.75 && inPlane + (dz / EYE_AXES[2]) ** 2 < 1) return true;
      }
      return false;
    });
    expect(offenders).toEqual([]);
  });

  test('pupils lie where perspective puts them and mm per px follows from them', () => {
    const { truth } = renderFace(phantomSpec({ camera: SMALL, quality: 'draft' }));
    const apartPx = Math.hypot(truth.pupilsPx[2] - truth.pupilsPx[0], truth.pupilsPx[3] - truth.pupilsPx[1]);
    const spacing = eyeSpacing(phantomSpec().identity);
    expect(apartPx).toBeCloseTo(100 * spacing, 0);
    expect(apartPx * truth.mmPerPx).toBeCloseTo(2 * EYE_CENTRE[0] * spacing, 1);
  });

  test('a head that turns to its left shows its nose to image right, and one with its chin up raises it', () => {
    const at = (pose: Readonly<{ yawDeg?: number; pitchDeg?: number }>): number[] => [
      ...renderFace(phantomSpec({ camera: SMALL, quality: 'draft', pose })).truth.landmarksPx.slice(8, 10),
    ];
    const [x, y] = at({});
    expect(at({ yawDeg: 20 })[0] - x).toBeGreaterThan(20);
    expect(y - at({ pitchDeg: 15 })[1]).toBeGreaterThan(10);
  });

  test('a loss darkens the slope that turns from the lamp and brightens the one that turns towards it, and leaves the rest alone', () => {
    const { before, after } = phantomPair({
      camera: { ...SMALL, fullWell: 1e9, readNoise: 0 },
      quality: 'draft',
      loss: [{ zone: 'midface-left', volumeMl: -1.5 }],
      light: { lamps: [{ azimuthDeg: 0, elevationDeg: 50, radiusDeg: 8, power: 1 }], ambient: { above: 0.1, front: 0, below: 0.1 } },
    });
    const ratio = (landmark: number, dy: number): number => {
      const [x, y] = [before.truth.landmarksPx[2 * landmark], before.truth.landmarksPx[2 * landmark + 1] + dy];
      return brightness(after.raster, x, y) / brightness(before.raster, x, y);
    };
    // lamp from above: the upper edge of a hollow turns away from it, the lower edge towards it (280 is the middle of the left cheek)
    expect(ratio(280, -14)).toBeLessThan(0.95);
    expect(ratio(280, 10)).toBeGreaterThan(1.05);
    expect(ratio(50, 0)).toBeCloseTo(1, 2);
    expect(ratio(151, 0)).toBeCloseTo(1, 2);
  });

  test('twice the exposure is twice the light, and a lamp from the left brightens the right cheek', () => {
    const shot = (options: Parameters<typeof phantomSpec>[0]): ReturnType<typeof renderFace> =>
      renderFace(phantomSpec({ quality: 'draft', ...options, camera: { ...SMALL, fullWell: 1e9, readNoise: 0, ...options?.camera } }));
    const plain = shot({ camera: { exposure: 0.4 } });
    const double = shot({ camera: { exposure: 0.8 } });
    const [x, y] = plain.truth.landmarksPx.slice(2 * 50);
    expect(brightness(double.raster, x, y) / brightness(plain.raster, x, y)).toBeCloseTo(2, 1);
    const side = shot({ light: { lamps: [{ azimuthDeg: -60, elevationDeg: 10, radiusDeg: 10, power: 0.8 }] } });
    const [rightCheek, leftCheek] = [50, 280].map((i) =>
      brightness(side.raster, side.truth.landmarksPx[2 * i], side.truth.landmarksPx[2 * i + 1]),
    );
    expect(rightCheek).toBeGreaterThan(1.3 * leftCheek);
  });

  test('skin grows darker with tone in every channel, and dark skin stays redder than blue', () => {
    const tones = Array.from({ length: 11 }, (_, i) => reflectance(melaninOf(i / 10), 1));
    for (let i = 1; i < tones.length; i++) for (let c = 0; c < 3; c++) expect(tones[i][c]).toBeLessThan(tones[i - 1][c]);
    for (const [r, g, b] of tones) expect(r > g && g > b).toBe(true);
  });

  test('nuisance changes the second specification and nothing of the first', () => {
    const { before, after } = pairSpecs({
      nuisance: { lightAzimuthDeg: 5, yawDeg: 2, exposure: 1.1, distanceFactor: 1.1, expression: { smile: 0.1 } },
    });
    expect(before).toEqual(phantomSpec());
    expect(after.light.lamps[0].azimuthDeg - before.light.lamps[0].azimuthDeg).toBeCloseTo(5, 12);
    expect([after.pose.yawDeg, after.camera.exposure, after.expression.smile]).toEqual([2, 1.1, 0.1]);
    expect(after.camera.distanceMm).toBeCloseTo(1320, 9);
    expect(after.camera.noiseSeed).not.toBe(before.camera.noiseSeed);
  });

  test('the truth in a rendered spread change adds up to the volume asked for', () => {
    const { truth } = renderFace(
      phantomSpec({ camera: SMALL, quality: 'draft', loss: [{ zone: 'midface-right', volumeMl: -1.2, spreadMm: 7 }] }),
    );
    expect(truth.totalMl).toBeCloseTo(-1.2, 4);
    const inZones = Object.values(truth.zoneMl).reduce((sum, value) => sum + value, 0);
    expect(inZones).toBeGreaterThan(-1.2);
    expect(truth.zoneMl['midface-right']).toBeLessThan(-0.7);
    expect(Object.values(truth.zoneMl).every((value) => value <= 0)).toBe(true);
  });
});

describe('refusal', () => {
  test('too many lamps are a mistake of the caller', () => {
    const lamp = { azimuthDeg: 0, elevationDeg: 0, radiusDeg: 5, power: 0.2 };
    expect(() => renderFace(phantomSpec({ camera: SMALL, quality: 'draft', light: { lamps: [lamp, lamp, lamp, lamp, lamp] } }))).toThrow(
      'at most 4 lamps',
    );
  });
});
