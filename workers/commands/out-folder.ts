/**
 * The folder a comparison is written to. It appears whole or not at all: everything is written beside it under another
 * name and then renamed. A folder that holds anything but a former comparison is never touched.
 */
import { readdir, readFile } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import type { NamedFile } from '#lib/record/types.ts';
import { VIEWS } from '#shared/comparison.ts';
import { FIELD_FILES } from '#shared/field.ts';
import { UsageError } from './command.ts';
import { putFolder } from './put-folder.ts';

/** The pictures of a view, in the order a reader wants them. */
export const OUT_PICTURES = [
  'before-as-taken',
  'after-as-taken',
  'before',
  'after-aligned',
  'after-relit',
  'change-map',
  'lightness-map',
] as const;
const PLAIN_FILES = ['comparison.json', FIELD_FILES.evidence, 'report.html', 'report.pdf', 'table.csv'] as const;
const OWN_NAME = new RegExp(
  `^(?:${PLAIN_FILES.join('|').replaceAll('.', '\\.')}|(?:${VIEWS.join('|')})\\.(?:${OUT_PICTURES.join('|')})\\.jpg)$`,
);

/** Throws UsageError when `dir` may not be written to. To be asked before the measuring. */
export async function checkOutFolder(dir: string): Promise<void> {
  const names = await readdir(dir).catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return [];
    if (error.code === 'ENOTDIR') throw new UsageError(`--out ${dir} is a file. Name a folder.`);
    throw new UsageError(`--out ${dir} cannot be looked into (${error.code}).`);
  });
  if (names.length === 0) return;
  const strange = names.find((name) => !OWN_NAME.test(name));
  if (strange !== undefined)
    throw new UsageError(`--out ${dir} holds ${strange}, which is not of a comparison, so nothing is written there. Name a new folder.`);
  if (!(await holdsComparison(dir))) throw new UsageError(`--out ${dir} is not empty and holds no comparison. Name a new folder.`);
}

async function holdsComparison(dir: string): Promise<boolean> {
  try {
    const { schema } = JSON.parse(await readFile(join(dir, 'comparison.json'), 'utf8'));
    return typeof schema === 'string' && schema.startsWith('ebbline.comparison/');
  } catch {
    return false;
  }
}

/** Writes all files and puts the folder in its place. What stood there before, a former comparison, goes last. */
export async function writeOutFolder(dir: string, files: readonly NamedFile[]): Promise<void> {
  const strange = files.find((file) => !OWN_NAME.test(file.name));
  if (strange) throw new RangeError(`${strange.name} is no file of a comparison`);
  await putFolder(dir, files, 'The results', () => checkOutFolder(resolve(dir)));
}
