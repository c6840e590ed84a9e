/**
 * The canonical face mesh: 468 vertices in the head frame (mm) and 898 triangles, read from the model package.
 *
 * Frame   head: x to the subject's left, y up, z out of the face; the package's centimetres become mm.
 * Source  `geometry_pipeline_metadata_landmarks.binarypb` inside `@mediapipe/face_mesh` 0.4.1657299874 (Apache-2.0), a
 *         protocol-buffer message whose field 1.3 (Mesh3d) holds x, y, z, u, v per vertex and the index list. This file is a door: it reads the package.
 */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Mesh } from '#lib/geometry/types.ts';
import { MESH_VERTEX_COUNT } from './types.ts';

const TRIANGLE_COUNT = 898;
const FLOATS_PER_VERTEX = 5;
const MM_PER_CM = 10;
/** The name the loader script gives the part we need. */
const PART = 'geometry_pipeline_metadata_landmarks.binarypb';

let kept: Mesh | null = null;

/** The canonical mesh, read once. Vertices (468, 3) mm; triangles (898, 3) counter-clockwise seen from outside; uv (468, 2). */
export function canonicalMesh(): Mesh {
  kept ??= parse(packagedPart(PART));
  return kept;
}

/** The bytes of one named part of the model package; byte ranges stand in the loader script beside it. Throws when the package is not the pinned one. */
export function packagedPart(name: string): Uint8Array {
  const resolve = createRequire(import.meta.url).resolve;
  const loader = readFileSync(resolve('@mediapipe/face_mesh/face_mesh_solution_packed_assets_loader.js'), 'utf8');
  const entry = new RegExp(`"filename": "[^"]*/${name.replaceAll('.', '\\.')}", "start": (\\d+), "end": (\\d+)`).exec(loader);
  if (!entry) throw new Error(`the model package has no part named ${name}; install the pinned @mediapipe/face_mesh`);
  const bytes = readFileSync(resolve('@mediapipe/face_mesh/face_mesh_solution_packed_assets.data'));
  return bytes.subarray(Number(entry[1]), Number(entry[2]));
}

function parse(bytes: Uint8Array): Mesh {
  const { floats, indices } = largestFields(bytes);
  if (floats.length !== MESH_VERTEX_COUNT * FLOATS_PER_VERTEX || indices.length !== TRIANGLE_COUNT * 3)
    throw new Error(
      `the canonical mesh has ${floats.length} floats and ${indices.length} indices; install the pinned @mediapipe/face_mesh`,
    );
  const vertices = new Float64Array(MESH_VERTEX_COUNT * 3);
  const uv = new Float64Array(MESH_VERTEX_COUNT * 2);
  for (let i = 0; i < MESH_VERTEX_COUNT; i++) {
    const at = i * FLOATS_PER_VERTEX;
    for (let k = 0; k < 3; k++) vertices[3 * i + k] = floats[at + k]! * MM_PER_CM;
    uv[2 * i] = floats[at + 3]!;
    uv[2 * i + 1] = floats[at + 4]!;
  }
  return { vertices, triangles: Uint32Array.from(indices), uv };
}

/** Walks the message and collects the vertex buffer (packed or repeated floats) and the index buffer (varints), in order. */
function largestFields(bytes: Uint8Array): { floats: number[]; indices: number[] } {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let at = 0;
  const varint = (): number => {
    let value = 0;
    for (let shift = 0; ; shift += 7) {
      const byte = bytes[at++]!;
      value += (byte & 0x7f) * 2 ** shift;
      if (byte < 0x80) return value;
    }
  };
  const fields = (end: number, take: (field: number, wire: number, length: number) => void): void => {
    while (at < end) {
      const tag = varint();
      const wire = tag & 7;
      const length = wire === 2 ? varint() : wire === 5 ? 4 : wire === 1 ? 8 : 0;
      const start = at;
      take(tag >>> 3, wire, length);
      if (wire === 0) {
        if (at === start) varint();
      } else at = start + length;
    }
  };
  const floats: number[] = [];
  const indices: number[] = [];
  const mesh = (end: number): void =>
    fields(end, (field, wire, length) => {
      if (field === 3 && wire === 5) floats.push(view.getFloat32(at, true));
      if (field === 3 && wire === 2) for (let k = 0; k < length; k += 4) floats.push(view.getFloat32(at + k, true));
      if (field === 4 && wire === 0) indices.push(varint());
      if (field === 4 && wire === 2) {
        const stop = at + length;
        while (at < stop) indices.push(varint());
      }
    });
  fields(bytes.length, (field, wire, length) => {
    if (wire === 2 && field === 1) mesh(at + length);
  });
  return { floats, indices };
}
