/** A manifest on this machine, by its path: its text, and which photographs lie beside it. */
import { statSync } from 'node:fs';
import { readFile, stat } from 'node:fs/promises';
import { basename, dirname, isAbsolute, join } from 'node:path';
import { errorCode } from '#lib/record/files.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';

/** Some hundred thousand rows. */
const MOST_BYTES = 100_000_000;

export type ManifestFile = Readonly<{
  name: string;
  bytes: Uint8Array;
  text: string;
  format: 'csv' | 'json';
  /** Where photographs are named from. */
  folder: string;
  /** Whether a photograph is there, by its name from the folder. */
  has: (file: string) => boolean;
}>;
export type ManifestFileFault = 'not-a-path' | 'no-manifest' | 'unreadable' | 'too-large' | 'not-utf8';

export async function manifestFile(path: string): Promise<Outcome<ManifestFile, ManifestFileFault>> {
  if (!isAbsolute(path))
    return refused('not-a-path', `Give the whole path of the manifest, from the root of the disk; "${path}" is not one.`);
  if (!/\.(csv|json)$/i.test(path)) return refused('not-a-path', 'A manifest is a file that ends in .csv or .json. Name the file itself.');
  try {
    const facts = await stat(path);
    if (!facts.isFile()) return refused('no-manifest', `${path} is no file. Name the manifest itself.`);
    if (facts.size > MOST_BYTES)
      return refused('too-large', `${path} is larger than ${MOST_BYTES / 1e6} MB, the most that is taken. Split it into several series.`);
    const bytes = new Uint8Array(await readFile(path));
    const text = utf8(bytes);
    if (text === null) return refused('not-utf8', `${path} is not in UTF-8, so names may be read wrongly. Save it as CSV UTF-8.`);
    const folder = dirname(path);
    const has = (file: string): boolean => statSync(join(folder, file), { throwIfNoEntry: false })?.isFile() ?? false;
    return found({ name: basename(path), bytes, text, format: /\.json$/i.test(path) ? 'json' : 'csv', folder, has });
  } catch (error) {
    const code = errorCode(error);
    if (code === 'ENOENT' || code === 'ENOTDIR')
      return refused('no-manifest', `There is no manifest ${path}. Look for a slip in the path.`);
    if (code === undefined) throw error;
    return refused('unreadable', `${path} could not be read (${code}). See whether you may read it.`);
  }
}

function utf8(bytes: Uint8Array): string | null {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    return null;
  }
}
