/**
 * Which triangle each sample of the picture sees.
 *
 * Frame   samples; x right, y down; first sample centre (0.5, 0.5). Triangles that face away are left out.
 */
export type Seen = Readonly<{
  width: number;
  height: number;
  /** (height, width) triangle, -1 where there is none. */
  triangle: Int32Array;
  /** (height, width, 2) barycentric weights of its second and third corner. */
  weights: Float32Array;
  /** (height, width) mm, depth from the camera. */
  depth: Float32Array;
}>;

/** `projected` (n, 3): x, y in samples, z in mm. Weights are made perspective-true. */
export function drawTriangles(width: number, height: number, projected: Float64Array, triangles: Uint32Array): Seen {
  const triangle = new Int32Array(width * height).fill(-1);
  const weights = new Float32Array(2 * width * height);
  const depth = new Float32Array(width * height).fill(Infinity);
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [3 * triangles[t], 3 * triangles[t + 1], 3 * triangles[t + 2]];
    const xa = projected[a];
    const ya = projected[a + 1];
    const [ux, uy, vx, vy] = [projected[b] - xa, projected[b + 1] - ya, projected[c] - xa, projected[c + 1] - ya];
    const area = ux * vy - vx * uy;
    // counter-clockwise from outside is clockwise on a screen whose y points down, as seen here: negative area faces the camera
    if (!(area < 0)) continue;
    const left = Math.max(0, Math.ceil(xa + Math.min(0, ux, vx) - 0.5));
    const right = Math.min(width - 1, Math.floor(xa + Math.max(0, ux, vx) - 0.5));
    const top = Math.max(0, Math.ceil(ya + Math.min(0, uy, vy) - 0.5));
    const bottom = Math.min(height - 1, Math.floor(ya + Math.max(0, uy, vy) - 0.5));
    const [za, zb, zc] = [1 / projected[a + 2], 1 / projected[b + 2], 1 / projected[c + 2]];
    for (let y = top; y <= bottom; y++) {
      const py = y + 0.5 - ya;
      for (let x = left; x <= right; x++) {
        const px = x + 0.5 - xa;
        const wb = (px * vy - vx * py) / area;
        const wc = (ux * py - px * uy) / area;
        if (wb < 0 || wc < 0 || wb + wc > 1) continue;
        const nearness = za + wb * (zb - za) + wc * (zc - za);
        const z = 1 / nearness;
        const at = y * width + x;
        if (z >= depth[at]) continue;
        depth[at] = z;
        triangle[at] = t / 3;
        weights[2 * at] = (wb * zb) / nearness;
        weights[2 * at + 1] = (wc * zc) / nearness;
      }
    }
  }
  return { width, height, triangle, weights, depth };
}
