/**
 * Neck and shoulders: one tube, only so that the head does not float.
 *
 * Frame   head, mm. uv lies far from 0..1, so no zone ever holds a part of it; one unit is 235 mm, as on the face.
 */
import { MM_PER_UV } from './head-topology.ts';

/** Height, half-width, half-depth, middle in z, and squareness of each ring, from inside the head to the shoulders. */
const RINGS = [
  [12, 40, 44, -56],
  [-25, 48, 54, -59],
  [-55, 51, 55, -52],
  [-80, 51, 53, -46],
  [-102, 50, 52, -43],
  [-122, 51, 52, -44],
  [-138, 56, 54, -48],
  [-152, 69, 56, -54],
  [-165, 96, 58, -60],
  [-178, 132, 62, -64],
  [-194, 168, 68, -68],
  [-230, 192, 78, -72],
  [-290, 205, 84, -74],
] as const;
const COLUMNS = 84;
/** Below this the skin ends and plain cloth begins, mm. */
export const COLLAR_Y = -163;

export type Tube = Readonly<{ vertices: Float64Array; triangles: Uint32Array; uv: Float64Array }>;

export function neckTube(widthFactor: number): Tube {
  const vertices: number[] = [];
  const uv: number[] = [];
  const triangles: number[] = [];
  const rings = refined();
  rings.forEach(([y, width, depth, middle]) => {
    for (let c = 0; c < COLUMNS; c++) {
      // the seam of the uv lies at the nape
      const angle = (2 * Math.PI * c) / COLUMNS - Math.PI;
      vertices.push(width * widthFactor * Math.sin(angle), y, middle + depth * Math.cos(angle));
      uv.push(3 + (angle * 54) / MM_PER_UV, -y / MM_PER_UV);
    }
  });
  for (let r = 0; r + 1 < rings.length; r++)
    for (let c = 0; c < COLUMNS; c++) {
      const [a, b] = [r * COLUMNS + c, r * COLUMNS + ((c + 1) % COLUMNS)];
      triangles.push(a, a + COLUMNS, b + COLUMNS, a, b + COLUMNS, b);
    }
  return { vertices: Float64Array.from(vertices), triangles: Uint32Array.from(triangles), uv: Float64Array.from(uv) };
}

/** Five rings for each, along a smooth curve through them (Catmull-Rom). */
function refined(): number[][] {
  const out: number[][] = [];
  for (let i = 0; i + 1 < RINGS.length; i++)
    for (let s = 0; s < 5; s++) {
      const t = s / 5;
      const [p0, p1, p2, p3] = [RINGS[Math.max(0, i - 1)], RINGS[i], RINGS[i + 1], RINGS[Math.min(RINGS.length - 1, i + 2)]];
      out.push(
        [0, 1, 2, 3].map(
          (k) =>
            0.5 *
            (2 * p1[k] +
              (p2[k] - p0[k]) * t +
              (2 * p0[k] - 5 * p1[k] + 4 * p2[k] - p3[k]) * t * t +
              (3 * p1[k] - p0[k] - 3 * p2[k] + p3[k]) * t ** 3),
        ),
      );
    }
  return out;
}
