/** Photographs named on the command line become bytes, or one sentence that says why not. */
import { readFile, stat } from 'node:fs/promises';
import { basename } from 'node:path';
import type { PhotoSource } from '#lib/compare/types.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';

export type FileFault = 'no-file' | 'not-a-file' | 'not-allowed' | 'unreadable';

const MOST_BYTES = 600_000_000;

export async function readSource(path: string): Promise<Outcome<PhotoSource, FileFault>> {
  try {
    const facts = await stat(path);
    if (facts.isDirectory()) return refused('not-a-file', `${path} is a folder. Name the photographs in it.`);
    if (facts.size > MOST_BYTES)
      return refused('unreadable', `${path} is larger than ${MOST_BYTES / 1e6} MB, the most that is taken. Export it as a JPEG.`);
    return found({ name: basename(path), bytes: new Uint8Array(await readFile(path)) });
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? error.code : undefined;
    if (code === 'ENOENT' || code === 'ENOTDIR') return refused('no-file', `There is no file ${path}.`);
    if (code === 'EACCES' || code === 'EPERM')
      return refused('not-allowed', `${path} may not be read by you. Change its permissions or copy it.`);
    return refused('unreadable', `${path} could not be read from the disk (${String(code ?? error)}).`);
  }
}

/** All of them, or the first that cannot be read. */
export async function readSources(paths: readonly string[]): Promise<Outcome<PhotoSource[], FileFault>> {
  const sources: PhotoSource[] = [];
  for (const path of paths) {
    const source = await readSource(path);
    if (!source.ok) return source;
    sources.push(source.value);
  }
  return found(sources);
}
