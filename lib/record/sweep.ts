/** Clears away what a crash left half written. A day is longer than any upload or measurement takes. */
import { glob, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { UNFINISHED } from './files.ts';

const DAY_MS = 86_400_000;

/** How many were removed. What vanishes meanwhile is somebody else's finished work. */
export async function sweepUnfinished(dataDir: string, olderThanMs: number = DAY_MS): Promise<number> {
  let removed = 0;
  for await (const name of glob([`{photos,comparisons}/${UNFINISHED}*`, `photos/*/${UNFINISHED}*`], { cwd: dataDir })) {
    const path = join(dataDir, name);
    const facts = await stat(path).catch(() => null);
    if (!facts || facts.mtimeMs > Date.now() - olderThanMs) continue;
    await rm(path, { recursive: true, force: true });
    removed++;
  }
  return removed;
}
