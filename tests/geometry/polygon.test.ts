import { describe, expect, it } from 'vitest';
import { pointInPolygon, polygonArea } from '#lib/geometry/polygon.ts';

const arrow = [0, 0, 4, 0, 4, 4, 2, 1, 0, 4];

describe('law', () => {
  it('area is signed by the sense of the loop', () => {
    expect(polygonArea([0, 0, 3, 0, 3, 2, 0, 2])).toBe(6);
    expect(polygonArea([0, 2, 3, 2, 3, 0, 0, 0])).toBe(-6);
    expect(polygonArea(arrow)).toBe(10);
  });

  it('a notch is outside, the arms around it are inside', () => {
    expect(pointInPolygon(arrow, 2, 2)).toBe(false);
    expect(pointInPolygon(arrow, 0.4, 2)).toBe(true);
    expect(pointInPolygon(arrow, 3.6, 2)).toBe(true);
    expect(pointInPolygon(arrow, 2, 0.5)).toBe(true);
    expect(pointInPolygon(arrow, -1, 0)).toBe(false);
  });

  it('the share of random points inside approaches the area', () => {
    let state = 11;
    let inside = 0;
    for (let i = 0; i < 40000; i++) {
      state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
      const x = (4 * state) / 4294967296;
      state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
      inside += pointInPolygon(arrow, x, (4 * state) / 4294967296) ? 1 : 0;
    }
    expect((16 * inside) / 40000).toBeGreaterThan(9.8);
    expect((16 * inside) / 40000).toBeLessThan(10.2);
  });

  it('neighbours share a border: every point of a fan around a corner lies in exactly one piece', () => {
    const corner = [0.31, 0.27];
    const rim = [0, 0, 1, 0, 1, 0.4, 1, 1, 0.2, 1, 0, 1];
    const pieces = rim
      .filter((_, i) => i % 2 === 0)
      .map((_, k) => {
        const next = (2 * k + 2) % rim.length;
        return [...corner, rim[2 * k], rim[2 * k + 1], rim[next], rim[next + 1]];
      });
    const offenders: number[][] = [];
    for (let i = 1; i < 50; i++)
      for (let j = 1; j < 50; j++) {
        const hits = pieces.filter((piece) => pointInPolygon(piece, i / 50, j / 50)).length;
        if (hits !== 1) offenders.push([i, j, hits]);
      }
    expect(offenders).toEqual([]);
  });
});
