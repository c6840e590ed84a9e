/** A displacement field as files: the surface that pages turn, and the evidence of each zone. Names in shared/field.ts. */
import { promisify } from 'node:util';
import { gzip } from 'node:zlib';
import type { NamedFile } from '#lib/record/types.ts';
import { FIELD_FILES, type Field } from '#shared/field.ts';
import { encodeSurface } from '#shared/surface-bytes.ts';

/** Same field, same bytes. */
export async function fieldFiles({ surface, evidence }: Field): Promise<NamedFile[]> {
  return [
    { name: FIELD_FILES.surface, bytes: new Uint8Array(await promisify(gzip)(encodeSurface(surface))) },
    { name: FIELD_FILES.evidence, bytes: new TextEncoder().encode(`${JSON.stringify(evidence)}\n`) },
  ];
}
