/**
 * An ear: a shell drawn over polar rings, with helix, antihelix, concha, tragus and lobe.
 *
 * Frame   head, mm. The ear's own plane: `back` towards the back of the head, `up`, and `out` from the head's side.
 *         Measures are ours: 62 mm high, 33 mm wide, standing off by about 20 degrees.
 */
import { smoothstep } from './fields.ts';
import { MM_PER_UV } from './head-topology.ts';

/** Outline as (back, up), from the lobe's attachment round the back to the tragus. */
const OUTLINE = [
  [-1, -21],
  [3, -28.5],
  [10, -29.5],
  [17, -22],
  [23, -8],
  [28, 7],
  [28, 21],
  [21, 30.5],
  [10, 32.5],
  [1, 27],
  [-3, 17],
  [-2.5, 6],
  [-4, -2],
  [-2.5, -11],
] as const;
const MIDDLE = [8, 1] as const;
/** Where the plane's origin sits on the head, and how far it swings outwards towards the back. */
const SEAT = [79.5, 8, -31] as const;
const SWING = 0.3;
const COLUMNS = 64;
const ROWS = 22;

export type Ear = Readonly<{ vertices: Float64Array; triangles: Uint32Array; uv: Float64Array }>;

/** `side` -1 is the subject's right. `widthFactor` follows the head. */
export function earShell(side: -1 | 1, widthFactor: number): Ear {
  const vertices: number[] = [];
  const uv: number[] = [];
  const triangles: number[] = [];
  for (let r = 0; r <= ROWS + 3; r++)
    for (let c = 0; c < COLUMNS; c++) {
      const edge = outlineAt(c / COLUMNS);
      const rho = Math.min(1, r / ROWS);
      // three more rings fold the rim over and back to the head
      const fold = Math.max(0, r - ROWS);
      const reach = fold === 0 ? rho : [1, 1.0, 0.93, 0.8][fold];
      const back = MIDDLE[0] + reach * (edge[0] - MIDDLE[0]);
      const up = MIDDLE[1] + reach * (edge[1] - MIDDLE[1]);
      const out = reliefAt(rho, edge) - [0, 2.4, 5.5, 10][fold];
      vertices.push(side * (SEAT[0] * widthFactor + SWING * back + out), SEAT[1] + up, SEAT[2] - back * 0.93 + out * 0.25 + up * -0.12);
      uv.push(6 + back / MM_PER_UV, -up / MM_PER_UV);
    }
  for (let r = 0; r < ROWS + 3; r++)
    for (let c = 0; c < COLUMNS; c++) {
      const [a, b] = [r * COLUMNS + c, r * COLUMNS + ((c + 1) % COLUMNS)];
      const [inner, outer] = [
        [a, b],
        [a + COLUMNS, b + COLUMNS],
      ];
      if (side < 0) triangles.push(inner[0], outer[1], outer[0], inner[0], inner[1], outer[1]);
      else triangles.push(inner[0], outer[0], outer[1], inner[0], outer[1], inner[1]);
    }
  return { vertices: Float64Array.from(vertices), triangles: Uint32Array.from(triangles), uv: Float64Array.from(uv) };
}

/** Height over the ear's plane, mm, at the share `rho` of the way to the edge point. */
function reliefAt(rho: number, [back, up]: readonly [number, number]): number {
  const bell = (at: number, width: number): number => Math.exp(-(((rho - at) / width) ** 2));
  const lobe = smoothstep(-14, -24, up);
  const front = smoothstep(6, -1, back);
  const helix = 3.4 * bell(0.93, 0.1) * (1 - lobe) * (1 - 0.5 * front);
  const scapha = -1.2 * bell(0.78, 0.09) * (1 - lobe) * (1 - front);
  const antihelix = 3.2 * bell(0.6, 0.11) * (1 - 0.6 * lobe) * (1 - front);
  const concha = -4.4 * smoothstep(0.52, 0.12, rho) * (1 - 0.4 * lobe);
  const tragus = 3.5 * front * bell(0.8, 0.2) * smoothstep(-16, -6, up) * smoothstep(12, 4, up);
  return 3 + helix + scapha + antihelix + concha + tragus + 1.5 * lobe * bell(0.8, 0.3) - 2.5 * front * smoothstep(0.85, 1, rho);
}

/** Closed Catmull-Rom curve through the outline. */
function outlineAt(s: number): [number, number] {
  const n = OUTLINE.length;
  const i = Math.floor(s * n);
  const t = s * n - i;
  const [p0, p1, p2, p3] = [-1, 0, 1, 2].map((k) => OUTLINE[(i + k + n) % n]);
  return [0, 1].map(
    (k) =>
      0.5 *
      (2 * p1[k] +
        (p2[k] - p0[k]) * t +
        (2 * p0[k] - 5 * p1[k] + 4 * p2[k] - p3[k]) * t * t +
        (3 * p1[k] - p0[k] - 3 * p2[k] + p3[k]) * t ** 3),
  ) as [number, number];
}
