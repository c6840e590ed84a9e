/**
 * Everything that stands before the camera: head, neck and eyes of one person in one pose, lit.
 *
 * Frame   vertices in camera mm. All values that vary over the surface are interleaved per vertex, see attributes.ts.
 */

import { vertexNormals } from '#lib/geometry/mesh.ts';
import { rotationFromPose } from '#lib/geometry/rotation.ts';
import { ATTRIBUTE, STRIDE } from './attributes.ts';
import { displacementOf } from './change.ts';
import { earShell } from './ear.ts';
import { express } from './expression.ts';
import { eyeBall } from './eyes.ts';
import { pressFolds } from './folds.ts';
import { hairThickness } from './hair.ts';
import { type HeadGrid, headGrid } from './head-grid.ts';
import { headTopology, LEFT_EYE_LOOP, PART, RIGHT_EYE_LOOP } from './head-topology.ts';
import { eyeSpacing, restHead } from './identity.ts';
import { coverEyes } from './lid-cover.ts';
import { lidOpening } from './lid-shade.ts';
import { neckTube } from './neck.ts';
import { type LightQuality, lightScene } from './scene-light.ts';
import { skinAt } from './skin.ts';
import { joinMeshes, strandDirections, tangentsAlongU } from './surface-frames.ts';
import type { PhantomSpec } from './types.ts';

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

export type SceneQuality = LightQuality & Readonly<{ levels: 2 | 3 }>;

export function sceneOf(spec: PhantomSpec, quality: SceneQuality): Scene {
  const { identity, expression, pose } = spec;
  if (spec.light.lamps.length > MOST_LAMPS) throw new RangeError(`at most ${MOST_LAMPS} lamps, got ${spec.light.lamps.length}`);
  const grid = headGrid(quality.levels);
  const { coarse, rest } = restingHead(identity, grid);
  const displacementMm = displacementOf(spec.loss, grid, rest);
  const head = rest.slice();
  if (spec.loss.length > 0) addAlongNormals(head, rest, grid.triangles, displacementMm);
  addMovement(head, coarse, spec, grid);
  if (expression.lidClose !== 0) coverEyes(head, grid, eyeSpacing(identity));

  const rotation = rotationFromPose({ yaw: rad(pose.yawDeg), pitch: rad(pose.pitchDeg), roll: rad(pose.rollDeg) });
  const offset = [pose.shiftXMm, pose.shiftYMm, spec.camera.distanceMm + PUPIL_Z - PIVOT[2]];
  const toCamera = (p: ArrayLike<number>): [number, number, number] => {
    const [x, y, z] = [p[0] - PIVOT[0], p[1] - PIVOT[1], p[2] - PIVOT[2]];
    return [0, 1, 2].map((r) => rotation[3 * r] * x + rotation[3 * r + 1] * y + rotation[3 * r + 2] * z + offset[r]) as [
      number,
      number,
      number,
    ];
  };

  const neck = neckTube(1 + 0.06 * identity.shape.jawWidth);
  const ears = ([-1, 1] as const).map((side) => earShell(side, 1 + 0.045 * identity.shape.faceWidth));
  const eyes = ([-1, 1] as const).map((side) => eyeBall(side, eyeSpacing(identity), expression.gazeXDeg, expression.gazeYDeg));
  const joined = joinMeshes([
    { vertices: head, triangles: grid.triangles },
    { vertices: neck.vertices, triangles: neck.triangles },
    ...ears,
    ...eyes,
  ]);
  const vertices = new Float64Array(joined.vertices.length);
  for (let i = 0; i < vertices.length; i += 3) {
    const x = joined.vertices[i] - PIVOT[0];
    const y = joined.vertices[i + 1] - PIVOT[1];
    const z = joined.vertices[i + 2] - PIVOT[2];
    for (let r = 0; r < 3; r++) vertices[i + r] = rotation[3 * r] * x + rotation[3 * r + 1] * y + rotation[3 * r + 2] * z + offset[r];
  }
  const { triangles } = joined;
  const normals = vertexNormals({ vertices, triangles });
  const part = new Uint8Array(triangles.length / 3).fill(PART.eye);
  part.set(grid.part);
  const neckEnd = grid.part.length + neck.triangles.length / 3;
  part.fill(PART.neck, grid.part.length, neckEnd);
  part.fill(PART.ear, neckEnd, neckEnd + (2 * ears[0].triangles.length) / 3);

  const attributes = new Float32Array((vertices.length / 3) * STRIDE);
  const write = (offsetIn: number, values: ArrayLike<number>, dims: number, from = 0): void => {
    for (let i = 0; i < values.length / dims; i++)
      for (let k = 0; k < dims; k++) attributes[(from + i) * STRIDE + offsetIn + k] = values[i * dims + k];
  };
  const neckFrom = grid.count;
  const earsFrom = neckFrom + neck.vertices.length / 3;
  const eyesFrom = earsFrom + (2 * ears[0].vertices.length) / 3;
  write(ATTRIBUTE.normal, normals, 3);
  write(ATTRIBUTE.u, grid.uv, 2);
  write(ATTRIBUTE.u, neck.uv, 2, neckFrom);
  ears.forEach((ear, e) => write(ATTRIBUTE.u, ear.uv, 2, earsFrom + (e * ear.vertices.length) / 3));
  write(ATTRIBUTE.tangent, tangentsAlongU(vertices, triangles, attributes), 3);
  for (const [from, places] of [
    [0, grid.material],
    [neckFrom, neck.vertices],
  ] as const) {
    const skin = skinAt(places, identity.skin);
    write(ATTRIBUTE.melanin, skin.melanin, 1, from);
    write(ATTRIBUTE.blood, skin.blood, 1, from);
    write(ATTRIBUTE.oil, skin.oil, 1, from);
  }
  for (let i = earsFrom; i < eyesFrom; i++) attributes.set([1, 1.5, 0.3], i * STRIDE + ATTRIBUTE.melanin);
  write(ATTRIBUTE.around, grid.around, 1);
  write(ATTRIBUTE.fromRim, grid.fromRim, 1);
  // the neck keeps its height in the place of `around`: skin ends at the collar
  write(
    ATTRIBUTE.around,
    neck.vertices.filter((_, i) => i % 3 === 1),
    1,
    neckFrom,
  );
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

let lastHead: Readonly<{ key: string; grid: HeadGrid; coarse: Float64Array; rest: Float64Array }> | null = null;

/** One person's head at rest, coarse and fine; the last person's is kept, since pairs and series show one many times. Not to be written to. */
function restingHead(identity: PhantomSpec['identity'], grid: HeadGrid): Readonly<{ coarse: Float64Array; rest: Float64Array }> {
  const key = JSON.stringify(identity.shape);
  if (lastHead?.key !== key || lastHead.grid !== grid) {
    const coarse = withHair(restHead(identity));
    const rest = grid.carry(coarse);
    pressFolds(rest, grid, identity.shape);
    coverEyes(rest, grid, eyeSpacing(identity));
    lastHead = { key, grid, coarse, rest };
  }
  return lastHead;
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
  grid.carry(moved).forEach((value, k) => {
    head[k] += value;
  });
}

const rad = (deg: number): number => (deg * Math.PI) / 180;
