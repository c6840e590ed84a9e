/**
 * Directions on the surface, and meshes laid together.
 *
 * Frame   whatever frame the vertices are in.
 */
import { ATTRIBUTE, STRIDE } from './attributes.ts';

/** Unit direction of growing u on the surface, per vertex. */
export function tangentsAlongU(vertices: Float64Array, triangles: Uint32Array, attributes: Float32Array): Float64Array {
  const out = new Float64Array(vertices.length);
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [triangles[t], triangles[t + 1], triangles[t + 2]];
    const uv = (i: number, k: number): number => attributes[i * STRIDE + ATTRIBUTE.u + k];
    const [u1, v1, u2, v2] = [uv(b, 0) - uv(a, 0), uv(b, 1) - uv(a, 1), uv(c, 0) - uv(a, 0), uv(c, 1) - uv(a, 1)];
    const turn = Math.sign(u1 * v2 - u2 * v1);
    for (let k = 0; k < 3; k++) {
      const along = turn * (v2 * (vertices[3 * b + k] - vertices[3 * a + k]) - v1 * (vertices[3 * c + k] - vertices[3 * a + k]));
      for (const i of [a, b, c]) out[3 * i + k] += along;
    }
  }
  for (let i = 0; i < out.length; i += 3) {
    const size = Math.hypot(out[i], out[i + 1], out[i + 2]) || 1;
    for (let k = 0; k < 3; k++) out[i + k] /= size;
  }
  return out;
}

/** Hair runs over the surface towards the back of the head. */
export function strandDirections(vertices: Float64Array, normals: Float64Array, back: readonly number[]): Float64Array {
  const out = new Float64Array(vertices.length);
  for (let i = 0; i < out.length; i += 3) {
    const d = [0, 1, 2].map((k) => back[k] - vertices[i + k]);
    const dot = d[0] * normals[i] + d[1] * normals[i + 1] + d[2] * normals[i + 2];
    const flat = d.map((value, k) => value - dot * normals[i + k]);
    const size = Math.hypot(...flat) || 1;
    for (let k = 0; k < 3; k++) out[i + k] = flat[k] / size;
  }
  return out;
}

/** Several meshes as one; indices follow on. */
export function joinMeshes(pieces: readonly Readonly<{ vertices: Float64Array; triangles: Uint32Array }>[]): {
  vertices: Float64Array;
  triangles: Uint32Array;
} {
  const vertices = new Float64Array(pieces.reduce((sum, piece) => sum + piece.vertices.length, 0));
  const triangles = new Uint32Array(pieces.reduce((sum, piece) => sum + piece.triangles.length, 0));
  let [v, t] = [0, 0];
  for (const piece of pieces) {
    vertices.set(piece.vertices, v);
    triangles.set(
      piece.triangles.map((i) => i + v / 3),
      t,
    );
    v += piece.vertices.length;
    t += piece.triangles.length;
  }
  return { vertices, triangles };
}
