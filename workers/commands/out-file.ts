/** A single file of results, whole or not at all: written beside its place under another name and then renamed. */
import { randomBytes } from 'node:crypto';
import { mkdir, rename, rm, writeFile } from 'node:fs/promises';
import { basename, dirname, join, resolve } from 'node:path';
import { UsageError } from './command.ts';

/** Replaces what stood there. Throws UsageError when it cannot be written. */
export async function writeFileWhole(path: string, content: string | Uint8Array): Promise<void> {
  const place = resolve(path);
  const unfinished = join(dirname(place), `.${basename(place)}.unfinished-${randomBytes(4).toString('hex')}`);
  try {
    await mkdir(dirname(place), { recursive: true });
    await writeFile(unfinished, content);
    await rename(unfinished, place);
  } catch (error) {
    await rm(unfinished, { force: true }).catch(() => undefined);
    throw new UsageError(`${path} could not be written (${(error as NodeJS.ErrnoException).code ?? error}). Name another file.`);
  }
}
