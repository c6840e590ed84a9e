import { describe, expect, it } from 'vitest';
import { integralOverMesh, triangleAreas, vertexAreas, vertexNormals } from '#lib/geometry/mesh.ts';
import { applyStencils, subdivide, subdivideMesh } from '#lib/geometry/subdivision.ts';
import type { Mesh } from '#lib/geometry/types.ts';
import { displacementVolumeMl, volumeBetweenMl } from '#lib/geometry/volume.ts';

/** A tetrahedron, corners on the unit sphere, wound outward. */
const s = 1 / Math.sqrt(3);
const tetrahedron: Mesh = {
  vertices: Float64Array.of(s, s, s, s, -s, -s, -s, s, -s, -s, -s, s),
  triangles: Uint32Array.of(0, 1, 2, 0, 3, 1, 0, 2, 3, 1, 3, 2),
  uv: null,
};
/** A unit sphere of many triangles. */
const sphere = (): Mesh => {
  let mesh = tetrahedron;
  for (let level = 0; level < 5; level++) {
    mesh = subdivideMesh(mesh, 'midpoint', 1);
    const vertices = mesh.vertices.slice();
    for (let i = 0; i < vertices.length; i += 3) {
      const r = Math.hypot(vertices[i], vertices[i + 1], vertices[i + 2]);
      for (let c = 0; c < 3; c++) vertices[i + c] /= r;
    }
    mesh = { ...mesh, vertices };
  }
  return mesh;
};
/** A square plate in the plane z = 0, side in mm, cut into n x n squares of two triangles. */
const plate = (side: number, n: number): Mesh => {
  const vertices = new Float64Array((n + 1) ** 2 * 3);
  const triangles: number[] = [];
  for (let r = 0; r <= n; r++)
    for (let c = 0; c <= n; c++) {
      const i = r * (n + 1) + c;
      vertices.set([(c / n - 0.5) * side, (r / n - 0.5) * side, 0], 3 * i);
      if (r < n && c < n) triangles.push(i, i + 1, i + n + 2, i, i + n + 2, i + n + 1);
    }
  return { vertices, triangles: Uint32Array.from(triangles), uv: null };
};
const sum = (values: Iterable<number>) => [...values].reduce((a, b) => a + b, 0);

describe('law', () => {
  it('vertex areas add up to the mesh, before and after subdivision', () => {
    const area = sum(triangleAreas(tetrahedron));
    expect(sum(vertexAreas(tetrahedron))).toBeCloseTo(area, 12);
    for (let level = 1; level <= 3; level++) {
      const fine = subdivideMesh(tetrahedron, 'midpoint', level);
      expect(fine.triangles.length).toBe(tetrahedron.triangles.length * 4 ** level);
      expect(sum(triangleAreas(fine))).toBeCloseTo(area, 12);
    }
  });

  it('normals do not depend on how the faces are cut', () => {
    const coarse = vertexNormals(tetrahedron);
    const fine = vertexNormals(subdivideMesh(tetrahedron, 'midpoint', 3));
    for (let i = 0; i < coarse.length; i++) expect(fine[i]).toBeCloseTo(coarse[i], 12);
    // the fan below has two triangles on one side of the ridge and one on the other; area weights would tilt it
    const fan = {
      vertices: Float64Array.of(0, 0, 0, 1, 0, -1, 1, 1, -1, 0, 1, 0, -1, 1, -1, -1, 0, -1),
      triangles: Uint32Array.of(0, 1, 2, 0, 2, 3, 0, 3, 5),
    };
    const whole = { vertices: fan.vertices, triangles: Uint32Array.of(0, 1, 3, 0, 3, 5) };
    const [fx, , fz] = vertexNormals(fan);
    const [wx, , wz] = vertexNormals(whole);
    expect(fx).toBeCloseTo(wx, 12);
    expect(fz).toBeCloseTo(wz, 12);
  });

  it('the normals of a sphere are its radii, and its area and volume approach theirs', () => {
    const ball = sphere();
    const normals = vertexNormals(ball);
    let worst = 0;
    for (let i = 0; i < normals.length; i += 3) {
      const dot = normals[i] * ball.vertices[i] + normals[i + 1] * ball.vertices[i + 1] + normals[i + 2] * ball.vertices[i + 2];
      worst = Math.max(worst, 1 - dot);
    }
    expect(worst).toBeLessThan(2e-3);
    expect(sum(triangleAreas(ball)) / (4 * Math.PI)).toBeGreaterThan(0.99);
    const grown = ball.vertices.map((v) => 2 * v);
    expect((1000 * volumeBetweenMl(ball.vertices, grown, ball.triangles)) / ((4 / 3) * Math.PI * 7)).toBeGreaterThan(0.99);
    expect(volumeBetweenMl(grown, ball.vertices, ball.triangles)).toBeCloseTo(-volumeBetweenMl(ball.vertices, grown, ball.triangles), 12);
  });

  it('stencils sum to one, so constants are carried unchanged', () => {
    for (const rule of ['midpoint', 'loop'] as const) {
      const step = subdivide(plate(4, 3).triangles, 16, rule);
      for (const value of applyStencils(step.stencils, new Float64Array(16).fill(5), 1)) expect(value).toBeCloseTo(5, 12);
    }
  });

  it('Loop subdivision keeps a plane flat and its border on the border', () => {
    const fine = subdivideMesh(plate(10, 4), 'loop', 2);
    let outside = 0;
    for (let i = 0; i < fine.vertices.length; i += 3) {
      expect(fine.vertices[i + 2]).toBe(0);
      outside = Math.max(outside, Math.abs(fine.vertices[i]), Math.abs(fine.vertices[i + 1]));
    }
    expect(outside).toBeLessThanOrEqual(5);
  });

  it('nothing passed in is written to', () => {
    const before = tetrahedron.vertices.slice();
    vertexNormals(tetrahedron);
    subdivideMesh(tetrahedron, 'loop', 2);
    expect(tetrahedron.vertices).toEqual(before);
  });

  it('an edge with three triangles is a mistake of the caller', () => {
    expect(() => subdivide(Uint32Array.of(0, 1, 2, 1, 0, 3, 0, 1, 4), 5, 'midpoint')).toThrow(RangeError);
  });
});

describe('oracle: closed formulas of check solids', () => {
  /** Height over the plate as a displacement, and as a lifted copy; both must hold the solid's volume. */
  const bothVolumes = (side: number, n: number, height: (x: number, y: number) => number) => {
    const mesh = plate(side, n);
    const d = Float64Array.from({ length: mesh.vertices.length / 3 }, (_, i) => height(mesh.vertices[3 * i], mesh.vertices[3 * i + 1]));
    const lifted = mesh.vertices.slice();
    d.forEach((h, i) => {
      lifted[3 * i + 2] = h;
    });
    return [displacementVolumeMl(mesh, d), volumeBetweenMl(mesh.vertices, lifted, mesh.triangles)];
  };
  const cap = (a: number, h: number) => {
    const radius = (a * a + h * h) / (2 * h);
    return (x: number, y: number) => Math.max(0, Math.sqrt(Math.max(0, radius * radius - x * x - y * y)) - (radius - h));
  };
  const caps = [
    [10, 1, 0.157603],
    [10, 2, 0.318348],
    [15, 1, 0.353953],
    [20, 2, 1.260826],
    [7.5, 0.5, 0.044244],
  ] as const;

  it.each(caps)('spherical cap, radius %f mm, height %f mm: %f mL', (a, h, volume) => {
    for (const got of bothVolumes(2.2 * a, 220, cap(a, h))) expect(got / volume).toBeCloseTo(1, 3);
  });
  it('half ellipsoid 12 x 8 x 1.5 mm: 0.301593 mL', () => {
    const height = (x: number, y: number) => 1.5 * Math.sqrt(Math.max(0, 1 - (x / 12) ** 2 - (y / 8) ** 2));
    for (const got of bothVolumes(26, 400, height)) expect(got / 0.301593).toBeCloseTo(1, 3);
  });
  it.each([
    [8, 1, 0.402124],
    [10, 1.5, 0.942478],
  ] as const)('Gaussian bump, sigma %f mm, height %f mm: %f mL', (sigma, h, volume) => {
    for (const got of bothVolumes(14 * sigma, 140, (x, y) => h * Math.exp(-(x * x + y * y) / (2 * sigma * sigma))))
      expect(got / volume).toBeCloseTo(1, 5);
  });
  it('1 mm over 10 square cm is 1 mL', () => {
    const mesh = plate(Math.sqrt(1000), 3);
    expect(displacementVolumeMl(mesh, new Float64Array(16).fill(1))).toBeCloseTo(1, 12);
    expect(integralOverMesh(mesh, new Float64Array(16).fill(2))).toBeCloseTo(2000, 9);
  });
});
