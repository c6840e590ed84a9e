/** A triangle mesh, flat arrays. Triangles wind counter-clockwise seen from outside. */
export type Mesh = Readonly<{
  /** (n, 3) */
  vertices: Float64Array;
  /** (m, 3) vertex indices */
  triangles: Uint32Array;
  /** (n, 2), 0..1, or null */
  uv: Float64Array | null;
}>;
