/**
 * A folder that appears whole or not at all: all files are written beside the place under another name, and then renamed. What stood there
 * goes last, and comes back when the renaming fails.
 */
import { randomBytes } from 'node:crypto';
import { mkdir, rename, rm, writeFile } from 'node:fs/promises';
import { basename, dirname, join, resolve } from 'node:path';
import type { NamedFile } from '#lib/record/types.ts';
import { UsageError } from './command.ts';

/**
 * `check` is asked again just before the folder is put in its place: somebody may have written there meanwhile. Throws what it throws, and
 * UsageError when the system refuses; `what` begins that sentence.
 */
export async function putFolder(dir: string, files: readonly NamedFile[], what: string, check: () => Promise<void>): Promise<void> {
  const place = resolve(dir);
  const mark = randomBytes(4).toString('hex');
  const unfinished = join(dirname(place), `.${basename(place)}.unfinished-${mark}`);
  const former = join(dirname(place), `.${basename(place)}.former-${mark}`);
  try {
    await mkdir(unfinished, { recursive: true });
    for (const { name, bytes } of files) await writeFile(join(unfinished, name), bytes);
    await check();
    const stood = await rename(place, former).then(
      () => true,
      (error: NodeJS.ErrnoException) => {
        if (error.code === 'ENOENT') return false;
        throw error;
      },
    );
    try {
      await rename(unfinished, place);
    } catch (error) {
      if (stood) await rename(former, place);
      throw error;
    }
    await rm(former, { recursive: true, force: true });
  } catch (error) {
    await rm(unfinished, { recursive: true, force: true });
    if (error instanceof UsageError) throw error;
    const code = (error as NodeJS.ErrnoException).code;
    if (code) throw new UsageError(`${what} could not be written to ${dir} (${code}). Name another folder.`);
    throw error;
  }
}
