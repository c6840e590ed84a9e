/**
 * Everything that stands before the camera: head, neck and eyes of one person in one pose, lit.
 *
 * Frame   vertices in camera mm. All values that vary over the surface are interleaved per vertex, see ATTRIBUTE.
 */
import { rotationFromPose } from '#lib/geometry/rotation.ts';
import { vertexNormals } from '#lib/geometry/mesh.ts';
import { displacementOf } from './change.ts';
import { earShell } from './ear.ts';
import { eyeBall } from './eyes.ts';
import { express } from './expression.ts';
import { smoothstep } from './fields.ts';
import { hairThickness } from './hair.ts';
import { type HeadGrid, headGrid } from './head-grid.ts';
import { headTopology, LEFT_EYE_LOOP, PART, RIGHT_EYE_LOOP } from './head-topology.ts';
import { pressFolds, restHead } from './identity.ts';
import { lampDirections, softCosine, sphereDirections } from './light.ts';
import { neckTube } from './neck.ts';
import { lightReaching } from './occlusion.ts';
import { skinAt } from './skin.ts';
import type { PhantomSpec } from './types.ts';

/** Offsets of the interleaved values. `free` is the strand direction on hair (camera frame), the eye frame's place on eyes. */
export const ATTRIBUTE = { normal: 0, tangent: 3, u: 6, v: 7, melanin: 8, blood: 9, oil: 10, ambient: 11, lamp: 12, around: 16, fromRim: 17, free: 18 } as const;
export const STRIDE = 21;
export const MOST_LAMPS = 4;
/** The head turns about this point, mm. */
const PIVOT = [0, 0, -10] as const;
/** Depth of the pupils in the head frame: the distance of the camera is counted from here. */
export const PUPIL_Z = 38.8;

export type Scene = Readonly<{
  vertices: Float64Array;
  triangles: Uint32Array;
  part: Uint8Array;
  attributes: Float32Array;
  rotation: Float64Array;
  /** Head frame, before pose: the head as it is, at rest, and its change. */
  head: Float64Array;
  rest: Float64Array;
  displacementMm: Float64Array;
  grid: HeadGrid;
  /** Head to camera, mm. */
  toCamera: (point: ArrayLike<number>) => [number, number, number];
}>;

export type SceneQuality = Readonly<{ levels: 2 | 3; lampRays: number; ambientRays: number }>;

export function sceneOf(spec: PhantomSpec, quality: SceneQuality): Scene {
  const { identity, expression, pose } = spec;
  if (spec.light.lamps.length > MOST_LAMPS) throw new RangeError(`at most ${MOST_LAMPS} lamps, got ${spec.light.lamps.length}`);
  const grid = headGrid(quality.levels);
  const coarse = withHair(restHead(identity));
  const rest = grid.carry(coarse);
  pressFolds(rest, grid, identity.shape);
  const displacementMm = displacementOf(spec.loss, grid, rest);
  const head = rest.slice();
  if (spec.loss.length > 0) addAlongNormals(head, rest, grid.triangles, displacementMm);
  addMovement(head, coarse, spec, grid);

  const rotation = rotationFromPose({ yaw: rad(pose.yawDeg), pitch: rad(pose.pitchDeg), roll: rad(pose.rollDeg) });
  const offset = [pose.shiftXMm, pose.shiftYMm, spec.camera.distanceMm + PUPIL_Z - PIVOT[2]];
  const toCamera = (p: ArrayLike<number>): [number, number, number] => {
    const [x, y, z] = [p[0] - PIVOT[0], p[1] - PIVOT[1], p[2] - PIVOT[2]];
    return [0, 1, 2].map((r) => rotation[3 * r] * x + rotation[3 * r + 1] * y + rotation[3 * r + 2] * z + offset[r]) as [number, number, number];
  };

  const neck = neckTube(1 + 0.06 * identity.shape.jawWidth);
  const ears = ([-1, 1] as const).map((side) => earShell(side, 1 + 0.045 * identity.shape.faceWidth));
  const eyes = ([-1, 1] as const).map((side) => eyeBall(side, expression.gazeXDeg, expression.gazeYDeg));
  const joined = join([
    { vertices: head, triangles: grid.triangles },
    { vertices: neck.vertices, triangles: neck.triangles },
    ...ears,
    ...eyes,
  ]);
  const vertices = new Float64Array(joined.vertices.length);
  for (let i = 0; i < vertices.length; i += 3) vertices.set(toCamera(joined.vertices.subarray(i, i + 3)), i);
  const { triangles } = joined;
  const normals = vertexNormals({ vertices, triangles });
  const part = new Uint8Array(triangles.length / 3).fill(PART.eye);
  part.set(grid.part);
  const neckEnd = grid.part.length + neck.triangles.length / 3;
  part.fill(PART.neck, grid.part.length, neckEnd);
  part.fill(PART.ear, neckEnd, neckEnd + (2 * ears[0].triangles.length) / 3);

  const attributes = new Float32Array((vertices.length / 3) * STRIDE);
  const write = (offsetIn: number, values: ArrayLike<number>, dims: number, from = 0): void => {
    for (let i = 0; i < values.length / dims; i++) for (let k = 0; k < dims; k++) attributes[(from + i) * STRIDE + offsetIn + k] = values[i * dims + k];
  };
  const neckFrom = grid.count;
  const earsFrom = neckFrom + neck.vertices.length / 3;
  const eyesFrom = earsFrom + (2 * ears[0].vertices.length) / 3;
  write(ATTRIBUTE.normal, normals, 3);
  write(ATTRIBUTE.u, grid.uv, 2);
  write(ATTRIBUTE.u, neck.uv, 2, neckFrom);
  ears.forEach((ear, e) => write(ATTRIBUTE.u, ear.uv, 2, earsFrom + (e * ear.vertices.length) / 3));
  write(ATTRIBUTE.tangent, tangentsAlongU(vertices, triangles, attributes), 3);
  for (const [from, places] of [[0, grid.material], [neckFrom, neck.vertices]] as const) {
    const skin = skinAt(places, identity.skin);
    write(ATTRIBUTE.melanin, skin.melanin, 1, from);
    write(ATTRIBUTE.blood, skin.blood, 1, from);
    write(ATTRIBUTE.oil, skin.oil, 1, from);
  }
  for (let i = earsFrom; i < eyesFrom; i++) attributes.set([1, 1.5, 0.3], i * STRIDE + ATTRIBUTE.melanin);
  write(ATTRIBUTE.around, grid.around, 1);
  write(ATTRIBUTE.fromRim, grid.fromRim, 1);
  // the neck keeps its height in the place of `around`: skin ends at the collar
  write(ATTRIBUTE.around, neck.vertices.filter((_, i) => i % 3 === 1), 1, neckFrom);
  write(ATTRIBUTE.free, strandDirections(vertices, normals, toCamera([0, 10, -142])), 3);
  eyes.forEach((eye, e) => {
    const from = eyesFrom + (e * eye.vertices.length) / 3;
    write(ATTRIBUTE.free, eye.places, 3, from);
    const open = lidOpening(head, e === 0 ? RIGHT_EYE_LOOP : LEFT_EYE_LOOP);
    for (let i = 0; i < eye.vertices.length / 3; i++) {
      attributes[(from + i) * STRIDE + ATTRIBUTE.u] = e === 0 ? 1 : -1;
      attributes[(from + i) * STRIDE + ATTRIBUTE.melanin] = open(eye.vertices[3 * i], eye.vertices[3 * i + 1]);
    }
  });
  lightScene({ spec, quality, grid, vertices, normals, triangles, attributes });
  return { vertices, triangles, part, attributes, rotation, head, rest, displacementMm, grid, toCamera };
}

/** How freely light falls on the eye at (x, y), head frame: lids and lashes shade its upper part, and a little its lower. 0..1 */
function lidOpening(head: Float64Array, loop: readonly number[]): (x: number, y: number) => number {
  const row = (indices: readonly number[]): [number, number][] => indices.map((i): [number, number] => [head[3 * i], head[3 * i + 1]]).toSorted((a, b) => a[0] - b[0]);
  const upper = row(loop.slice(0, 9));
  const lower = row([loop[0], ...loop.slice(8)]);
  const at = (line: readonly [number, number][], x: number): number => {
    const k = Math.min(line.length - 2, Math.max(0, line.findIndex(([px]) => px > x) - 1));
    const t = Math.min(1, Math.max(0, (x - line[k][0]) / (line[k + 1][0] - line[k][0])));
    return line[k][1] + t * (line[k + 1][1] - line[k][1]);
  };
  return (x, y) => (0.38 + 0.62 * smoothstep(-0.5, 4.2, at(upper, x) - y)) * (0.72 + 0.28 * smoothstep(-0.5, 1.6, y - at(lower, x)));
}

/** Shadows are worked out on the coarser head and carried up. */
function lightScene({ spec, quality, grid, vertices, normals, triangles, attributes }: Readonly<{
  spec: PhantomSpec; quality: SceneQuality; grid: HeadGrid; vertices: Float64Array; normals: Float64Array; triangles: Uint32Array; attributes: Float32Array;
}>): void {
  const { coarser } = grid;
  const others = vertices.length / 3 - grid.count;
  const shift = grid.count - coarser.count;
  const pick = (values: Float64Array): Float64Array => {
    const out = new Float64Array(3 * (coarser.count + others));
    out.set(values.subarray(0, 3 * coarser.count));
    out.set(values.subarray(3 * grid.count), 3 * coarser.count);
    return out;
  };
  const rough = { vertices: pick(vertices), normals: pick(normals), triangles: new Uint32Array(coarser.triangles.length + triangles.length - grid.triangles.length) };
  rough.triangles.set(coarser.triangles);
  rough.triangles.set(triangles.subarray(grid.triangles.length).map((i) => i - shift), coarser.triangles.length);
  const write = (at: number, values: Float64Array): void => {
    const up = coarser.carryUp(values.slice(0, coarser.count), 1);
    up.forEach((value, i) => { attributes[i * STRIDE + at] = value; });
    for (let i = 0; i < others; i++) attributes[(grid.count + i) * STRIDE + at] = values[coarser.count + i];
  };
  spec.light.lamps.forEach((lamp, k) =>
    write(ATTRIBUTE.lamp + k, lightReaching(rough.vertices, rough.normals, rough.triangles, lampDirections(lamp, quality.lampRays), (cosine) => softCosine(cosine, 0.35) + 0.02)));
  const sphere = sphereDirections(quality.ambientRays);
  const { c0, up, front } = { c0: 1, up: 0.5, front: 0.3 };
  write(ATTRIBUTE.ambient, lightReaching(rough.vertices, rough.normals, rough.triangles, sphere, (cosine, d) => Math.max(0, cosine) * (c0 - up * sphere[d][1] - front * sphere[d][2])));
}

function withHair(coarse: Float64Array): Float64Array {
  const { around, fromRim } = headTopology();
  const out = coarse.slice();
  for (let i = 0; i < around.length; i++) {
    const thick = hairThickness(around[i], fromRim[i]);
    if (thick === 0 || fromRim[i] === 0) continue;
    const d = [out[3 * i], out[3 * i + 1] - 25, out[3 * i + 2] + 45];
    const size = Math.hypot(...d);
    for (let k = 0; k < 3; k++) out[3 * i + k] += (thick * d[k]) / size;
  }
  return out;
}

function addAlongNormals(head: Float64Array, rest: Float64Array, triangles: Uint32Array, amount: Float64Array): void {
  const normals = vertexNormals({ vertices: rest, triangles });
  amount.forEach((d, i) => {
    if (d !== 0) for (let k = 0; k < 3; k++) head[3 * i + k] += d * normals[3 * i + k];
  });
}

/** An expression moves the changed surface as it would have moved the resting one. */
function addMovement(head: Float64Array, coarse: Float64Array, { expression }: PhantomSpec, grid: HeadGrid): void {
  const { smile, mouthOpen, browRaise, lidClose } = expression;
  if (smile === 0 && mouthOpen === 0 && browRaise === 0 && lidClose === 0) return;
  const moved = express(coarse, expression).map((value, k) => value - coarse[k]);
  grid.carry(moved).forEach((value, k) => { head[k] += value; });
}

function join(pieces: readonly Readonly<{ vertices: Float64Array; triangles: Uint32Array }>[]): { vertices: Float64Array; triangles: Uint32Array } {
  const vertices = new Float64Array(pieces.reduce((sum, piece) => sum + piece.vertices.length, 0));
  const triangles = new Uint32Array(pieces.reduce((sum, piece) => sum + piece.triangles.length, 0));
  let [v, t] = [0, 0];
  for (const piece of pieces) {
    vertices.set(piece.vertices, v);
    triangles.set(piece.triangles.map((i) => i + v / 3), t);
    v += piece.vertices.length;
    t += piece.triangles.length;
  }
  return { vertices, triangles };
}

/** Unit direction of growing u on the surface, per vertex. */
function tangentsAlongU(vertices: Float64Array, triangles: Uint32Array, attributes: Float32Array): Float64Array {
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
function strandDirections(vertices: Float64Array, normals: Float64Array, back: readonly number[]): Float64Array {
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

const rad = (deg: number): number => (deg * Math.PI) / 180;
