/**
 * Areas, normals and integrals of a triangle mesh.
 *
 * Frame   any right-handed one (head and camera both are); triangles wind counter-clockwise seen from outside.
 * Source  normals weighted by angle: Thürmer & Wüthrich, J. Graphics Tools 3(1):43-46, 1998. They do not depend on
 *         how a flat part is cut into triangles, so a subdivided mesh keeps its normals.
 */
import type { Mesh } from './types.ts';

/** (m) area of each triangle, in squared units of the vertices. */
export function triangleAreas({ vertices, triangles }: Pick<Mesh, 'vertices' | 'triangles'>): Float64Array {
  const out = new Float64Array(triangles.length / 3);
  const n = [0, 0, 0];
  for (let t = 0; t < out.length; t++) {
    crossOfTriangle(vertices, triangles, t, n);
    out[t] = Math.hypot(n[0], n[1], n[2]) / 2;
  }
  return out;
}

/** (n) a third of the area of the triangles around each vertex: the weights that integrate a linear function exactly. */
export function vertexAreas(mesh: Pick<Mesh, 'vertices' | 'triangles'>): Float64Array {
  const areas = triangleAreas(mesh);
  const out = new Float64Array(mesh.vertices.length / 3);
  for (let k = 0; k < mesh.triangles.length; k++) out[mesh.triangles[k]] += areas[(k / 3) | 0] / 3;
  return out;
}

/** (m, 3) outward unit normal of each triangle; zero for a triangle without area. */
export function triangleNormals({ vertices, triangles }: Pick<Mesh, 'vertices' | 'triangles'>): Float64Array {
  const out = new Float64Array(triangles.length);
  const n = [0, 0, 0];
  for (let t = 0; t < triangles.length / 3; t++) {
    crossOfTriangle(vertices, triangles, t, n);
    const length = Math.hypot(n[0], n[1], n[2]) || 1;
    for (let k = 0; k < 3; k++) out[3 * t + k] = n[k] / length;
  }
  return out;
}

/** (n, 3) outward unit normal at each vertex; zero for a vertex that no triangle with area uses. */
export function vertexNormals(mesh: Pick<Mesh, 'vertices' | 'triangles'>): Float64Array {
  const { vertices, triangles } = mesh;
  const flat = triangleNormals(mesh);
  const out = new Float64Array(vertices.length);
  for (let k = 0; k < triangles.length; k++) {
    const first = k - (k % 3);
    const angle = cornerAngle(vertices, triangles[k], triangles[first + ((k + 1) % 3)], triangles[first + ((k + 2) % 3)]);
    for (let c = 0; c < 3; c++) out[3 * triangles[k] + c] += angle * flat[first + c];
  }
  for (let i = 0; i < out.length; i += 3) {
    const length = Math.hypot(out[i], out[i + 1], out[i + 2]) || 1;
    for (let c = 0; c < 3; c++) out[i + c] /= length;
  }
  return out;
}

/** Integral over the mesh of a function given at its vertices and linear between them: its unit times squared units of length. */
export function integralOverMesh(mesh: Pick<Mesh, 'vertices' | 'triangles'>, values: ArrayLike<number>): number {
  const areas = vertexAreas(mesh);
  let sum = 0;
  for (let i = 0; i < areas.length; i++) sum += areas[i] * values[i];
  return sum;
}

function crossOfTriangle(v: ArrayLike<number>, triangles: ArrayLike<number>, t: number, out: number[]): void {
  const a = 3 * triangles[3 * t];
  const b = 3 * triangles[3 * t + 1];
  const c = 3 * triangles[3 * t + 2];
  const ux = v[b] - v[a];
  const uy = v[b + 1] - v[a + 1];
  const uz = v[b + 2] - v[a + 2];
  const wx = v[c] - v[a];
  const wy = v[c + 1] - v[a + 1];
  const wz = v[c + 2] - v[a + 2];
  out[0] = uy * wz - uz * wy;
  out[1] = uz * wx - ux * wz;
  out[2] = ux * wy - uy * wx;
}

/** The angle at vertex a between b and c, radians. */
function cornerAngle(v: ArrayLike<number>, a: number, b: number, c: number): number {
  const ux = v[3 * b] - v[3 * a];
  const uy = v[3 * b + 1] - v[3 * a + 1];
  const uz = v[3 * b + 2] - v[3 * a + 2];
  const wx = v[3 * c] - v[3 * a];
  const wy = v[3 * c + 1] - v[3 * a + 1];
  const wz = v[3 * c + 2] - v[3 * a + 2];
  const cross = Math.hypot(uy * wz - uz * wy, uz * wx - ux * wz, ux * wy - uy * wx);
  return Math.atan2(cross, ux * wx + uy * wy + uz * wz);
}
