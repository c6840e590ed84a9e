/** Photographs of a series in a folder: beside the manifest, or a share that each machine has mounted. */
import { readFile, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { errorCode } from '#lib/record/files.ts';
import { insideFolder } from '#shared/inside-folder.ts';
import { found, refused } from '#shared/outcome.ts';
import { MOST_BYTES, outside, type Photographs } from './photographs.ts';

export function folderPhotographs(folder: string): Photographs {
  return {
    read: async (file) => {
      if (!insideFolder(file)) return refused('outside', outside(file));
      try {
        const path = join(folder, file);
        const facts = await stat(path);
        if (!facts.isFile()) return refused('unreadable', `${file} is no file. Name the photograph itself.`);
        if (facts.size > MOST_BYTES)
          return refused('too-large', `${file} is larger than ${MOST_BYTES / 1e6} MB, the most that is taken. Export it as a JPEG.`);
        return found(new Uint8Array(await readFile(path)));
      } catch (error) {
        const code = errorCode(error);
        if (code === 'ENOENT' || code === 'ENOTDIR') return refused('no-file', `There is no file ${file} in the folder of the series.`);
        if (code === 'EACCES' || code === 'EPERM') return refused('not-allowed', `${file} may not be read by you. Change its permissions.`);
        return refused('unreadable', `${file} could not be read from the disk (${code ?? String(error)}).`);
      }
    },
    stamp: async (file) => {
      if (!insideFolder(file)) return null;
      const facts = await stat(join(folder, file), { bigint: true }).catch(() => null);
      return facts ? `${facts.size}-${facts.mtimeNs}` : null;
    },
  };
}
