/**
 * Writes shared/face-diagram.ts: the canonical face seen from the front, as plain numbers, so that a page can draw the
 * zone atlas without loading a mesh. Run as `node workers/make-face-diagram.ts` after the mesh or the atlas changes.
 */
import { writeFileSync } from 'node:fs';
import { canonicalMesh } from '#lib/face/canonical-mesh.ts';

const { vertices } = canonicalMesh();
const count = vertices.length / 3;
const rows: string[] = [];
for (let i = 0; i < count; i += 12) {
  const row: string[] = [];
  for (let j = i; j < Math.min(count, i + 12); j++) row.push(`${tenth(vertices[3 * j]!)}, ${tenth(-vertices[3 * j + 1]!)}`);
  rows.push(`  ${row.join(', ')},`);
}

const text = `/**
 * The canonical face seen from the front: x and y of its 468 landmarks in mm, for diagrams only.
 *
 * Frame   x to the subject's left, which is image right; y down; the origin is the canonical head's.
 * Source  Written by workers/make-face-diagram.ts from the canonical mesh of \`@mediapipe/face_mesh\` (Apache-2.0).
 */
export const FACE_DIAGRAM_MM: readonly number[] = [
${rows.join('\n')}
];
`;
writeFileSync(new URL('../shared/face-diagram.ts', import.meta.url), text);

function tenth(mm: number): number {
  return Math.round(mm * 10) / 10 || 0;
}
