import { describe, expect, it } from 'vitest';
import { harmonicsInto, LAMBERT_KERNEL, TERMS_BY_ORDER } from '#lib/light/spherical-harmonics.ts';
import { solveSpd } from '#lib/stats/solve-spd.ts';
import { irradianceAndGradient } from '#tests/light/nine-term-light.ts';

/** Points spread evenly over the sphere (Fibonacci lattice), so that a mean is an integral over 4 pi. */
const sphere = (count: number): [number, number, number][] =>
  Array.from({ length: count }, (_, i) => {
    const z = 1 - (2 * i + 1) / count;
    const angle = i * Math.PI * (3 - Math.sqrt(5));
    const r = Math.sqrt(1 - z * z);
    return [r * Math.cos(angle), r * Math.sin(angle), z];
  });
const terms = (point: readonly [number, number, number], count: number): Float64Array => {
  const out = new Float64Array(count);
  harmonicsInto(out, 0, ...point, count);
  return out;
};

describe('law', () => {
  it('is orthonormal over the sphere, all sixteen terms', () => {
    const points = sphere(20_000);
    const gram = new Float64Array(256);
    for (const point of points) {
      const y = terms(point, 16);
      for (let a = 0; a < 16; a++) for (let b = 0; b < 16; b++) gram[16 * a + b] += (4 * Math.PI * y[a] * y[b]) / points.length;
    }
    for (let a = 0; a < 16; a++) for (let b = 0; b < 16; b++) expect(gram[16 * a + b]).toBeCloseTo(a === b ? 1 : 0, 3);
  });

  it('gives the gradient that differences of the value give', () => {
    const c = [1, 0.3, -0.4, 0.8, 0.1, -0.2, 0.15, 0.05, -0.12];
    const h = 1e-6;
    for (const [x, y, z] of sphere(40)) {
      const [e, gx, gy, gz] = irradianceAndGradient(c, x, y, z);
      expect(e).toBeCloseTo(
        terms([x, y, z], 9).reduce((sum, v, i) => sum + v * c[i], 0),
        12,
      );
      expect((irradianceAndGradient(c, x + h, y, z)[0] - e) / h).toBeCloseTo(gx, 4);
      expect((irradianceAndGradient(c, x, y + h, z)[0] - e) / h).toBeCloseTo(gy, 4);
      expect((irradianceAndGradient(c, x, y, z + h)[0] - e) / h).toBeCloseTo(gz, 4);
    }
  });
});

describe('oracle: Basri & Jacobs 2003; Ramamoorthi & Hanrahan 2001', () => {
  it('has the zonal coefficients of the clamped cosine: pi, 2 pi / 3, pi / 4, 0', () => {
    // A_l = 2 pi * integral over 0..1 of P_l(t) t dt
    const legendre = [() => 1, (t: number) => t, (t: number) => (3 * t * t - 1) / 2, (t: number) => (5 * t ** 3 - 3 * t) / 2];
    const n = 20_000;
    legendre.forEach((p, l) => {
      let sum = 0;
      for (let i = 0; i < n; i++) sum += (p((i + 0.5) / n) * ((i + 0.5) / n)) / n;
      expect(2 * Math.PI * sum).toBeCloseTo(LAMBERT_KERNEL[l], 6);
    });
    expect(LAMBERT_KERNEL.slice(0, 3)).toEqual([Math.PI, (2 * Math.PI) / 3, Math.PI / 4]);
  });

  it.each([
    [4, 0.875],
    [9, 0.9921875],
    [16, 0.9921875],
  ] as const)('lets %i terms hold %f of the energy of a sphere under one distant lamp, no more and no less', (count, share) => {
    const points = sphere(20_000);
    const lamp = [0.48, 0.6, 0.64];
    const normal = new Float64Array(count * count),
      right = new Float64Array(count);
    let energy = 0;
    for (const point of points) {
      const image = Math.max(0, point[0] * lamp[0] + point[1] * lamp[1] + point[2] * lamp[2]);
      const y = terms(point, count);
      energy += image * image;
      for (let a = 0; a < count; a++) {
        right[a] += y[a] * image;
        for (let b = 0; b < count; b++) normal[a * count + b] += y[a] * y[b];
      }
    }
    const c = solveSpd(normal, right, count);
    const held = c.reduce((sum, value, a) => sum + value * right[a], 0) / energy;
    expect(held).toBeCloseTo(share, 3);
    expect(TERMS_BY_ORDER).toContain(count);
  });
});
