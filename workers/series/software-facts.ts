/** Which program measured, as hashes: the source that measures, the list of packages with theirs, and Node. */
import { createHash } from 'node:crypto';
import { globSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { CrateFacts } from '#lib/series/ro-crate.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';

const ROOT = fileURLToPath(new URL('../../', import.meta.url));

/** `models` come from the comparisons themselves. */
export function softwareFacts(models: Readonly<Record<string, string>>): CrateFacts['software'] {
  const source = createHash('sha256');
  for (const file of globSync('{shared,lib/{stats,colour,geometry,photo,face,align,light,measure,compare}}/**/*.ts', {
    cwd: ROOT,
  }).sort())
    source.update(file).update(readFileSync(join(ROOT, file)));
  return {
    version: EBBLINE_VERSION,
    sourceSha256: source.digest('hex'),
    packagesSha256: createHash('sha256')
      .update(readFileSync(join(ROOT, 'package-lock.json')))
      .digest('hex'),
    node: process.versions.node,
    models,
  };
}
