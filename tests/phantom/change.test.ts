import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { zoneLoop } from '#lib/face/zone-map.ts';
import { vertexNormals } from '#lib/geometry/mesh.ts';
import { displacementVolumeMl, volumeBetweenMl } from '#lib/geometry/volume.ts';
import { displacementOf, volumesByZone, zonesOfGrid } from '#lib/phantom/change.ts';
import { pressFolds } from '#lib/phantom/folds.ts';
import { headGrid } from '#lib/phantom/head-grid.ts';
import { identityFrom, restHead } from '#lib/phantom/identity.ts';
import { ZONE_IDS } from '#shared/zones.ts';

const grid = headGrid(3);
function restOf(seed: number): Float64Array {
  const identity = identityFrom(seed);
  const rest = grid.carry(restHead(identity));
  pressFolds(rest, grid, identity.shape);
  return rest;
}
const rest = restOf(3);

describe('law', () => {
  test('every zone can lose or gain a volume, exact to a thousandth, and no other zone moves', () => {
    const offenders = ZONE_IDS.flatMap((zone, z) => {
      const volumeMl = z % 2 ? 0.4 : -0.7;
      const d = displacementOf([{ zone, volumeMl }], grid, rest);
      const found = volumesByZone(d, grid, rest);
      const whole = displacementVolumeMl({ vertices: rest, triangles: grid.triangles }, d);
      const right =
        Object.keys(found).join() === zone && Math.abs(found[zone]! / volumeMl - 1) < 1e-3 && Math.abs(whole / volumeMl - 1) < 1e-3;
      return right ? [] : [`${zone}: ${JSON.stringify(found)}, in all ${whole}`];
    });
    expect(offenders).toEqual([]);
  });

  test('the surface really sweeps that volume, but for the curvature of the face', () => {
    const d = displacementOf([{ zone: 'midface-left', volumeMl: -1 }], grid, rest);
    const normals = vertexNormals({ vertices: rest, triangles: grid.triangles });
    const moved = rest.map((value, k) => value + d[Math.floor(k / 3)] * normals[k]);
    // d - H d^2: about 1 mm on a cheek whose mean curvature is near 1/60 mm
    expect(Math.abs(volumeBetweenMl(rest, moved, grid.triangles) + 1)).toBeLessThan(0.04);
  });

  test('a change fades to nothing at the border of its zone and has one sign', () => {
    const zones = zonesOfGrid(grid);
    const d = displacementOf([{ zone: 'midface-right', volumeMl: -1 }], grid, rest);
    const own = ZONE_IDS.indexOf('midface-right');
    const border = zoneLoop('midface-right');
    const toBorder = (i: number): number => {
      let nearest = Infinity;
      for (let k = 0; k < border.length; k += 3)
        nearest = Math.min(
          nearest,
          Math.hypot(grid.material[3 * i] - border[k], grid.material[3 * i + 1] - border[k + 1], grid.material[3 * i + 2] - border[k + 2]),
        );
      return nearest;
    };
    const deepest = Math.min(...d);
    const inside = [...d.keys()].filter((i) => zones[i] === own);
    expect(Math.max(...d)).toBe(0);
    expect(deepest).toBeLessThan(-1);
    expect(inside.filter((i) => toBorder(i) < 0.8 && d[i] < 0.02 * deepest)).toEqual([]);
  });

  test('changes add up, on any person', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 40 }),
        fc.double({ min: -2, max: 2, noNaN: true }),
        fc.double({ min: -1, max: 1, noNaN: true }),
        (seed, a, b) => {
          const person = restOf(seed);
          const both = volumesByZone(
            displacementOf(
              [
                { zone: 'chin', volumeMl: a },
                { zone: 'jawline-left', volumeMl: b },
              ],
              grid,
              person,
            ),
            grid,
            person,
          );
          expect(both.chin ?? 0).toBeCloseTo(a, 6);
          expect(both['jawline-left'] ?? 0).toBeCloseTo(b, 6);
        },
      ),
      { numRuns: 4, seed: 7 },
    );
  });

  test('a diffuse change over several zones has no ridge where they meet and adds up to its volume', () => {
    const zones = ['midface-left', 'nasolabial-left', 'submalar-left'] as const;
    const d = displacementOf([{ zones, volumeMl: -1.5 }], grid, rest);
    const found = volumesByZone(d, grid, rest);
    expect(Object.values(found).reduce((sum, value) => sum + value, 0)).toBeCloseTo(-1.5, 6);
    expect(Object.keys(found).toSorted()).toEqual(zones.toSorted());
    for (const zone of zones) expect(found[zone]).toBeLessThan(-0.1);
  });
});

describe('refusal', () => {
  test('a volume that is no number is a mistake of the caller', () => {
    expect(() => displacementOf([{ zone: 'chin', volumeMl: Number.NaN }], grid, rest)).toThrow('finite');
  });
});
