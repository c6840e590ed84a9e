import { describe, expect, test } from 'vitest';
import { canonicalMesh } from '#lib/face/canonical-mesh.ts';
import { placeOnCanonical, pointOfPlace } from '#lib/face/uv-surface.ts';
import { zoneIndexOfPoint, zoneLoop, zoneLoopUv, zoneOfPoint, zoneWeights } from '#lib/face/zone-map.ts';
import { triangleAreas } from '#lib/geometry/mesh.ts';
import { pointInPolygon, polygonArea } from '#lib/geometry/polygon.ts';
import { subdivideMesh } from '#lib/geometry/subdivision.ts';
import { MIRROR_LANDMARK } from '#shared/mirror-landmark.ts';
import { placeOutline, ZONE_OUTLINES } from '#shared/zone-outlines.ts';
import { REFERENCE_ZONES, ZONE_IDS, type ZoneId } from '#shared/zones.ts';

const { vertices, uv } = canonicalMesh();
const otherSide = (zone: ZoneId): ZoneId =>
  (zone.endsWith('-left') ? zone.replace('-left', '-right') : zone.replace('-right', '-left')) as ZoneId;

/** Areas in cm2 on the canonical mesh, four times halved. */
function areasCm2(): Map<ZoneId | 'outside', number> {
  const fine = subdivideMesh(canonicalMesh(), 'midpoint', 4);
  const { triangleZone } = zoneWeights(fine);
  const sums = new Map<ZoneId | 'outside', number>();
  triangleAreas(fine).forEach((area, t) => {
    const zone = triangleZone[t] < 0 ? 'outside' : ZONE_IDS[triangleZone[t]];
    sums.set(zone, (sums.get(zone) ?? 0) + area / 100);
  });
  return sums;
}
const areas = areasCm2();

function crossing(loop: Float64Array): string[] {
  const n = loop.length / 2;
  const turn = (a: number, b: number, c: number): number => {
    const [ax, ay, bx, by, cx, cy] = [a, b, c].flatMap((i) => [loop[2 * (i % n)], loop[2 * (i % n) + 1]]);
    return Math.sign((bx - ax) * (cy - ay) - (cx - ax) * (by - ay));
  };
  const found: string[] = [];
  for (let i = 0; i < n; i++)
    for (let j = i + 2; j < n; j++) {
      if (i === 0 && j === n - 1) continue;
      if (turn(i, i + 1, j) !== turn(i, i + 1, j + 1) && turn(j, j + 1, i) !== turn(j, j + 1, i + 1)) found.push(`edges ${i} and ${j}`);
    }
  return found;
}

describe('law', () => {
  test('the table of mirrored landmarks is the mirror map of the mesh', () => {
    const wrong = MIRROR_LANDMARK.flatMap((j, i) => {
      const apart = Math.hypot(
        vertices[3 * i] + vertices[3 * j],
        vertices[3 * i + 1] - vertices[3 * j + 1],
        vertices[3 * i + 2] - vertices[3 * j + 2],
      );
      return apart > 1e-6 || MIRROR_LANDMARK[j] !== i ? [i] : [];
    });
    expect(MIRROR_LANDMARK).toHaveLength(468);
    expect(wrong).toEqual([]);
  });

  test('no place belongs to two zones', () => {
    const loops = ZONE_IDS.map(zoneLoopUv);
    const shared = new Set<string>();
    for (let u = 0.00071; u < 1; u += 0.0013)
      for (let v = 0.1003; v < 1; v += 0.0013) {
        const inside = ZONE_IDS.filter((_, i) => pointInPolygon(loops[i], u, v));
        if (inside.length > 1) shared.add(inside.join(' and '));
      }
    expect([...shared]).toEqual([]);
  });

  test('every outline is simple: no two of its edges cross', () => {
    expect(ZONE_IDS.flatMap((zone) => crossing(zoneLoopUv(zone)).map((edges) => `${zone}: ${edges}`))).toEqual([]);
  });

  test('left and right zones are mirror images on the mesh, and midline zones are their own', () => {
    const offenders = ZONE_IDS.filter((zone) => {
      const own = placeOutline(ZONE_OUTLINES[zone], vertices, 3);
      const other = placeOutline(ZONE_OUTLINES[otherSide(zone)], vertices, 3);
      for (let i = 0; i < own.length; i += 3) {
        let nearest = Infinity;
        for (let j = 0; j < other.length; j += 3)
          nearest = Math.min(nearest, Math.hypot(own[i] + other[j], own[i + 1] - other[j + 1], own[i + 2] - other[j + 2]));
        if (nearest > 1e-6) return true;
      }
      return false;
    });
    expect(offenders).toEqual([]);
  });

  test('each half of a pair lies on its own side', () => {
    const offenders = ZONE_IDS.filter((zone) => {
      const loop = zoneLoop(zone);
      const xs = [...loop].filter((_, i) => i % 3 === 0);
      return (zone.endsWith('-left') && Math.min(...xs) < 0) || (zone.endsWith('-right') && Math.max(...xs) > 0);
    });
    expect(offenders).toEqual([]);
  });

  test('areas of a pair agree to 1 % and the zones cover more than half of the mesh', () => {
    const unequal = ZONE_IDS.filter((zone) => Math.abs(areas.get(zone)! / areas.get(otherSide(zone))! - 1) > 0.01);
    const all = [...areas.values()].reduce((sum, area) => sum + area, 0);
    expect(unequal).toEqual([]);
    expect(1 - areas.get('outside')! / all).toBeGreaterThan(0.5);
  });

  test('areas found by vertices and triangles are those of the outlines in uv', () => {
    const fine = subdivideMesh(canonicalMesh(), 'midpoint', 4);
    const { triangleZone } = zoneWeights(fine);
    const flat = {
      triangles: fine.triangles,
      vertices: Float64Array.from({ length: (fine.uv!.length / 2) * 3 }, (_, i) =>
        i % 3 === 2 ? 0 : fine.uv![2 * Math.floor(i / 3) + (i % 3)],
      ),
    };
    const sums = new Float64Array(ZONE_IDS.length);
    triangleAreas(flat).forEach((area, t) => {
      if (triangleZone[t] >= 0) sums[triangleZone[t]] += area;
    });
    const offenders = ZONE_IDS.filter((zone, i) => Math.abs(sums[i] / Math.abs(polygonArea(zoneLoopUv(zone))) - 1) > 0.03);
    expect(offenders).toEqual([]);
  });

  test('a loop on the surface projects back to the outline it came from', () => {
    const loop = zoneLoop('midface-left');
    const corners = zoneLoopUv('midface-left');
    for (let i = 0; i < corners.length; i += 2) {
      const [x, y, z] = pointOfPlace(placeOnCanonical(corners[i], corners[i + 1])!, vertices);
      let nearest = Infinity;
      for (let j = 0; j < loop.length; j += 3) nearest = Math.min(nearest, Math.hypot(loop[j] - x, loop[j + 1] - y, loop[j + 2] - z));
      expect(nearest).toBeLessThan(1e-9);
    }
  });
});

describe('anatomy', () => {
  /** Landmarks by what they are, of the subject's right and left. */
  const OUTSIDE: Record<string, readonly number[]> = {
    'right eye': [33, 246, 161, 160, 159, 158, 157, 173, 133, 155, 154, 153, 145, 144, 163, 7],
    'left eye': [263, 466, 388, 387, 386, 385, 384, 398, 362, 382, 381, 380, 374, 373, 390, 249],
    'right brow': [46, 53, 52, 65, 55, 70, 63, 105, 66, 107],
    'left brow': [276, 283, 282, 295, 285, 300, 293, 334, 296, 336],
    nostrils: [79, 238, 20, 60, 75, 166, 309, 458, 250, 290, 305, 392],
  };
  const IN: Record<string, readonly number[]> = {
    'midface-right': [50, 101],
    'midface-left': [280, 330],
    forehead: [151, 108, 337],
    glabella: [8],
    'nasal-dorsum': [6, 197, 195],
    'nasal-tip': [4, 1],
    'nasolabial-right': [206, 216],
    'nasolabial-left': [426, 436],
    'upper-lip-right': [165],
    philtrum: [164],
    'vermilion-upper': [12, 11],
    'vermilion-lower': [16, 15],
    'submalar-right': [187, 207],
    'infraorbital-right': [230, 231],
    chin: [199, 200],
    'prejowl-right': [170],
    'temple-left': [368, 301],
  };

  test('landmarks of eyes, brows and nostrils lie outside every zone', () => {
    const offenders = Object.entries(OUTSIDE).flatMap(([what, list]) =>
      list.flatMap((i) => {
        const zone = zoneOfPoint(uv![2 * i], uv![2 * i + 1]);
        return zone ? [`${what} ${i} in ${zone}`] : [];
      }),
    );
    expect(offenders).toEqual([]);
  });

  test('landmarks known by their anatomy lie in their zone', () => {
    const offenders = Object.entries(IN).flatMap(([zone, list]) =>
      list.flatMap((i) => {
        const found = zoneOfPoint(uv![2 * i], uv![2 * i + 1]);
        return found === zone ? [] : [`${i}: ${found}, not ${zone}`];
      }),
    );
    expect(offenders).toEqual([]);
  });

  test('zones have sensible areas on the canonical mesh', () => {
    const LIMITS_CM2: Record<string, readonly [number, number]> = {
      forehead: [25, 50],
      glabella: [2, 5],
      temple: [10, 25],
      infraorbital: [2.5, 6],
      midface: [8, 14],
      submalar: [6, 12],
      'nasal-dorsum': [4, 9],
      'nasal-tip': [3, 7],
      nasolabial: [2.5, 6],
      'upper-lip': [2.5, 6],
      philtrum: [1, 2.5],
      'vermilion-upper': [2.5, 6],
      'vermilion-lower': [2.5, 6],
      commissure: [0.5, 1.5],
      marionette: [2, 4],
      prejowl: [3, 7],
      chin: [9, 18],
      jawline: [5, 12],
    };
    const offenders = ZONE_IDS.flatMap((zone) => {
      const [low, high] = LIMITS_CM2[zone.replace(/-(left|right)$/, '')];
      const area = areas.get(zone)!;
      return area >= low && area <= high ? [] : [`${zone} ${area.toFixed(2)} cm2`];
    });
    expect(offenders).toEqual([]);
  });

  test('the reference zones together cover more than 40 cm2, enough to anchor light', () => {
    expect(REFERENCE_ZONES.reduce((sum, zone) => sum + areas.get(zone)!, 0)).toBeGreaterThan(40);
  });
});

describe('refusal', () => {
  test('places outside the face and the mouth opening are in no zone', () => {
    for (const [u, v] of [
      [0.01, 0.01],
      [0.5, 0.6935],
      [1.5, 0.5],
      [Number.NaN, 0.5],
    ])
      expect(zoneIndexOfPoint(u, v)).toBe(-1);
    expect(placeOnCanonical(0.01, 0.01)).toBeNull();
  });

  test('a mesh without uv is a mistake of the caller', () => {
    expect(() => zoneWeights({ triangles: new Uint32Array(3), uv: null })).toThrow('must carry uv');
  });

  test('an outline on too few landmarks is a mistake of the caller', () => {
    expect(() => placeOutline(ZONE_OUTLINES.chin, new Float64Array(10), 2)).toThrow('must hold landmark');
  });
});
