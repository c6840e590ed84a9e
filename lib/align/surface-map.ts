/**
 * The fitted surface seen through its camera, on a grid of cells over the photograph.
 *
 * Frame   cell (i, j) covers working px [i * stride, (i + 1) * stride); its values are those at its centre.
 * Model   triangles are filled with linear interpolation in the image; at 2 mm edges and 1 m distance the perspective
 *         error of that is under 0.01 px. The nearest surface wins; surfaces that face away are not drawn.
 */
import { projectMm as project } from '#lib/face/head.ts';
import type { HeadFit } from '#lib/face/types.ts';
import type { FineSurface } from './fine-surface.ts';

export { project };

export type SurfaceMap = Readonly<{
  /** Cells. */
  width: number;
  height: number;
  /** Working px per cell side. */
  stride: number;
  /** (cells) mm along the camera's axis; +Infinity where no surface. */
  depthMm: Float32Array;
  /** (cells, 3) unit, viewer frame */
  normal: Float32Array;
  /** (cells, 3) mm, head frame */
  headMm: Float32Array;
  /** (cells, 2) */
  uv: Float32Array;
  /** (cells) index of the fine triangle, -1 where no surface */
  triangle: Int32Array;
}>;

/** Draws `surface` as `head`'s camera sees it, over a photograph of widthPx x heightPx. */
export function surfaceMap(surface: FineSurface, head: HeadFit, widthPx: number, heightPx: number, stride: number): SurfaceMap {
  const width = Math.floor(widthPx / stride);
  const height = Math.floor(heightPx / stride);
  const cells = width * height;
  const map = {
    width,
    height,
    stride,
    depthMm: new Float32Array(cells).fill(Infinity),
    normal: new Float32Array(cells * 3),
    headMm: new Float32Array(cells * 3),
    uv: new Float32Array(cells * 2),
    triangle: new Int32Array(cells).fill(-1),
  };
  const count = surface.verticesMm.length / 3;
  const screen = new Float64Array(count * 2);
  for (let i = 0; i < count; i++) {
    const [x, y] = project(head, surface.verticesMm[3 * i]!, surface.verticesMm[3 * i + 1]!, surface.verticesMm[3 * i + 2]!);
    screen[2 * i] = x / stride;
    screen[2 * i + 1] = y / stride;
  }
  for (let t = 0; t < surface.triangles.length; t += 3) drawTriangle(map, surface, screen, t);
  return map;
}

function drawTriangle(map: SurfaceMap, surface: FineSurface, screen: Float64Array, t: number): void {
  const a = surface.triangles[t]!,
    b = surface.triangles[t + 1]!,
    c = surface.triangles[t + 2]!;
  const ax = screen[2 * a]!,
    ay = screen[2 * a + 1]!;
  const bx = screen[2 * b]!,
    by = screen[2 * b + 1]!;
  const cx = screen[2 * c]!,
    cy = screen[2 * c + 1]!;
  // Counter-clockwise seen from outside is clockwise in a frame whose y points down: a positive determinant faces away.
  const area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);
  if (area >= 0) return;
  const left = Math.max(0, Math.ceil(Math.min(ax, bx, cx) - 0.5));
  const right = Math.min(map.width - 1, Math.floor(Math.max(ax, bx, cx) - 0.5));
  const top = Math.max(0, Math.ceil(Math.min(ay, by, cy) - 0.5));
  const bottom = Math.min(map.height - 1, Math.floor(Math.max(ay, by, cy) - 0.5));
  const { verticesMm, normals, headMm, uv } = surface;
  for (let j = top; j <= bottom; j++) {
    for (let i = left; i <= right; i++) {
      const x = i + 0.5,
        y = j + 0.5;
      const wa = ((bx - x) * (cy - y) - (by - y) * (cx - x)) / area;
      const wb = ((cx - x) * (ay - y) - (cy - y) * (ax - x)) / area;
      const wc = 1 - wa - wb;
      if (wa < 0 || wb < 0 || wc < 0) continue;
      const at = j * map.width + i;
      const depth = wa * verticesMm[3 * a + 2]! + wb * verticesMm[3 * b + 2]! + wc * verticesMm[3 * c + 2]!;
      if (depth >= map.depthMm[at]!) continue;
      map.depthMm[at] = depth;
      map.triangle[at] = t / 3;
      let length = 0;
      for (let k = 0; k < 3; k++) {
        const n = wa * normals[3 * a + k]! + wb * normals[3 * b + k]! + wc * normals[3 * c + k]!;
        map.normal[3 * at + k] = n;
        length += n * n;
        map.headMm[3 * at + k] = wa * headMm[3 * a + k]! + wb * headMm[3 * b + k]! + wc * headMm[3 * c + k]!;
      }
      length = Math.sqrt(length) || 1;
      for (let k = 0; k < 3; k++) map.normal[3 * at + k] = map.normal[3 * at + k]! / length;
      for (let k = 0; k < 2; k++) map.uv[2 * at + k] = wa * uv[2 * a + k]! + wb * uv[2 * b + k]! + wc * uv[2 * c + k]!;
    }
  }
}
