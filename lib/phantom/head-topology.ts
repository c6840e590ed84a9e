/**
 * How the head is knitted: the canonical face with real openings for eyes and mouth, and its rim carried on over the skull
 * and under the jaw.
 *
 * Frame   head, mm. Vertices 0..467 are the landmarks; added ones follow.
 * Model   Loop subdivision. Lids and lips get an inner ring that turns backwards, so their edges round off instead of
 *         ending; the rim of the face is continued by rings along great circles of a skull ellipsoid towards its back.
 *         The skull's measures are ours, fitted to the rim.
 */
import { canonicalMesh } from '#lib/face/canonical-mesh.ts';
import { MIRROR_LANDMARK } from '#shared/mirror-landmark.ts';

export const PART = { face: 0, skull: 1, mouth: 2, neck: 3, ear: 4, eye: 5 } as const;

export const RIGHT_EYE_LOOP = [33, 246, 161, 160, 159, 158, 157, 173, 133, 155, 154, 153, 145, 144, 163, 7] as const;
export const LEFT_EYE_LOOP = RIGHT_EYE_LOOP.map((i) => MIRROR_LANDMARK[i]);
export const INNER_LIP_LOOP = [78, 191, 80, 81, 82, 13, 312, 311, 310, 415, 308, 324, 318, 402, 317, 14, 87, 178, 88, 95] as const;

/** Centre and half-axes of the skull, mm. */
const SKULL = { centre: [0, 30, -42], axes: [78, 101, 96] } as const;
/** Direction of the last point of the skull, in units of the half-axes. */
const BACK = [0, -0.12, -0.993] as const;
/** Where along the way to the back the rings lie. */
const RINGS = [0.05, 0.11, 0.18, 0.27, 0.38, 0.52, 0.7, 0.86] as const;
/** The canonical uv square is nearly true to length: one unit is about this long on the face. */
export const MM_PER_UV = 235;
/** The underside of the jaw tucks in towards the neck. */
const UNDERSIDE = 0.84;

export type HeadTopology = Readonly<{
  /** (n, 3) mm */
  vertices: Float64Array;
  triangles: Uint32Array;
  /** (n, 2) of the canonical mesh, continued outwards over the skull. */
  uv: Float64Array;
  /** (m) PART of each triangle. */
  part: Uint8Array;
  /** (n) place around the rim, 0..rim length in vertices; and mm gone from the rim towards the back. 0 on the face. */
  around: Float64Array;
  fromRim: Float64Array;
  /** (n) the landmark of lid or lip that an added vertex hangs on, -1 for all others. */
  hangsOn: Int32Array;
  /** Rim of the canonical mesh, in order. */
  rim: readonly number[];
}>;

let kept: HeadTopology | null = null;

export function headTopology(): HeadTopology {
  kept ??= build();
  return kept;
}

function build(): HeadTopology {
  const face = canonicalMesh();
  const xyz = Array.from(face.vertices);
  const uv = Array.from(face.uv!);
  const around: number[] = new Array(xyz.length / 3).fill(0);
  const fromRim: number[] = new Array(xyz.length / 3).fill(0);
  const hangsOn: number[] = new Array(xyz.length / 3).fill(-1);
  const triangles: number[] = [];
  const part: number[] = [];
  const add = (x: number, y: number, z: number, u: number, v: number, a = 0, s = 0, on = -1): number => {
    xyz.push(x, y, z);
    uv.push(u, v);
    around.push(a);
    fromRim.push(s);
    hangsOn.push(on);
    return xyz.length / 3 - 1;
  };
  const join = (a: number, b: number, c: number, which: number): void => {
    triangles.push(a, b, c);
    part.push(which);
  };

  const holes = [RIGHT_EYE_LOOP, LEFT_EYE_LOOP, INNER_LIP_LOOP].map((loop) => new Set<number>(loop));
  const directed = new Set<number>();
  for (let t = 0; t < face.triangles.length; t += 3) {
    const corners = [face.triangles[t], face.triangles[t + 1], face.triangles[t + 2]] as const;
    if (holes.some((hole) => corners.every((i) => hole.has(i)))) continue;
    join(...corners, PART.face);
    corners.forEach((a, k) => directed.add(a * 1000 + corners[(k + 1) % 3]));
  }
  /** The loop in the order in which an outer strip must be knitted: against the direction of the triangles inside it. */
  const oriented = (loop: readonly number[]): number[] => (directed.has(loop[0] * 1000 + loop[1]) ? loop.toReversed() : [...loop]);
  const strip = (outer: readonly number[], inner: readonly number[], which: number): void => {
    outer.forEach((a, k) => {
      const next = (k + 1) % outer.length;
      join(a, outer[next], inner[next], which);
      join(a, inner[next], inner[k], which);
    });
  };
  const at = (i: number): [number, number, number] => [xyz[3 * i], xyz[3 * i + 1], xyz[3 * i + 2]];

  for (const loop of [RIGHT_EYE_LOOP, LEFT_EYE_LOOP]) {
    const order = oriented(loop);
    const middle = [0, 1, 2].map((k) => order.reduce((sum, i) => sum + xyz[3 * i + k], 0) / order.length);
    const ring = order.map((i) => {
      const [x, y, z] = at(i);
      return add(x + (middle[0] - x) * 0.02, y + Math.sign(middle[1] - y) * 0.25, z - 3.2, uv[2 * i], uv[2 * i + 1], 0, 0, i);
    });
    strip(order, ring, PART.face);
  }
  const lips = oriented(INNER_LIP_LOOP);
  let previous: readonly number[] = lips;
  for (const depth of [3, 8]) {
    const ring = lips.map((i) =>
      add(xyz[3 * i] * (depth === 3 ? 1 : 0.85), xyz[3 * i + 1], xyz[3 * i + 2] - depth, uv[2 * i], uv[2 * i + 1], 0, 0, i),
    );
    strip(previous, ring, PART.mouth);
    previous = ring;
  }

  // the back of the mouth, so that nobody looks through it
  const back = add(0, -43, 44, 0.5, 0.69, 0, 0, 13);
  previous.forEach((i, k) => {
    join(i, previous[(k + 1) % previous.length], back, PART.mouth);
  });

  const rim = rimOf(directed);
  addSkull({ rim, at, uv, add, join, strip });
  return {
    vertices: Float64Array.from(xyz),
    triangles: Uint32Array.from(triangles),
    uv: Float64Array.from(uv),
    part: Uint8Array.from(part),
    around: Float64Array.from(around.map((a, i) => (rim.includes(i) ? rim.indexOf(i) : a))),
    fromRim: Float64Array.from(fromRim),
    hangsOn: Int32Array.from(hangsOn),
    rim,
  };
}

/** The outer border, starting under the chin, in the order in which an outer strip is knitted. */
function rimOf(directed: ReadonlySet<number>): number[] {
  const next = new Map<number, number>();
  const openings = new Set<number>([...RIGHT_EYE_LOOP, ...LEFT_EYE_LOOP, ...INNER_LIP_LOOP]);
  for (const edge of directed) {
    const [a, b] = [Math.floor(edge / 1000), edge % 1000];
    if (!directed.has(b * 1000 + a) && !(openings.has(a) && openings.has(b))) next.set(b, a);
  }
  const rim = [152];
  for (let i = next.get(152)!; i !== 152; i = next.get(i)!) rim.push(i);
  return rim;
}

type Knitting = Readonly<{
  rim: readonly number[];
  at: (i: number) => [number, number, number];
  uv: readonly number[];
  add: (x: number, y: number, z: number, u: number, v: number, a?: number, s?: number) => number;
  join: (a: number, b: number, c: number, which: number) => void;
  strip: (outer: readonly number[], inner: readonly number[], which: number) => void;
}>;

function addSkull({ rim, at, uv, add, join, strip }: Knitting): void {
  const { centre, axes } = SKULL;
  const start = rim.map((i) => at(i).map((value, k) => (value - centre[k]) / axes[k]));
  const gone = rim.map(() => 0);
  let outer: readonly number[] = rim;
  for (const fraction of RINGS) {
    const ring = rim.map((i, n) => {
      const size = Math.hypot(...start[n]);
      const from = start[n].map((value) => value / size);
      const angle = Math.acos(from[0] * BACK[0] + from[1] * BACK[1] + from[2] * BACK[2]);
      const [wa, wb] = [Math.sin((1 - fraction) * angle), Math.sin(fraction * angle)].map((w) => w / Math.sin(angle));
      const end = from[1] < -0.35 ? UNDERSIDE : 1;
      const reach = size + (end - size) * smoothstep(fraction / 0.4);
      const point = centre.map((c, k) => c + axes[k] * reach * (wa * from[k] + wb * BACK[k]));
      const last = at(outer[n]);
      gone[n] += Math.hypot(point[0] - last[0], point[1] - last[1], point[2] - last[2]);
      const [du, dv] = [uv[2 * i] - 0.5, uv[2 * i + 1] - 0.5];
      const out = gone[n] / MM_PER_UV / Math.hypot(du, dv);
      return add(point[0], point[1], point[2], uv[2 * i] + du * out, uv[2 * i + 1] + dv * out, n, gone[n]);
    });
    strip(outer, ring, PART.skull);
    outer = ring;
  }
  const pole = add(centre[0], centre[1] + axes[1] * BACK[1], centre[2] + axes[2] * BACK[2], 0.5, -0.6, 0, gone[18] + 10);
  outer.forEach((i, n) => join(i, outer[(n + 1) % outer.length], pole, PART.skull));
}

function smoothstep(x: number): number {
  const t = Math.min(1, Math.max(0, x));
  return t * t * (3 - 2 * t);
}
