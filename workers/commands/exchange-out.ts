/**
 * Where an exchange is written. Folder and file appear whole or not at all, and nothing is replaced unless told: a folder only
 * when all it holds is a former exchange.
 */
import { readdir, stat } from 'node:fs/promises';
import { VIEWS } from '#shared/comparison.ts';
import { UsageError } from './command.ts';
import { putFolder } from './put-folder.ts';

const OWN_NAME = new RegExp(`^(?:report|(?:before|after)-(?:${VIEWS.join('|')}))\\.dcm$`);

/** Throws UsageError when `dir` may not be written to. To be asked before the work. */
export async function checkDicomFolder(dir: string, force: boolean): Promise<void> {
  const names = await readdir(dir).catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return null;
    if (error.code === 'ENOTDIR') throw new UsageError(`--dicom ${dir} is a file. Name a folder.`);
    throw new UsageError(`--dicom ${dir} cannot be looked into (${error.code}).`);
  });
  if (names === null || names.length === 0) return;
  if (!force) throw new UsageError(`--dicom ${dir} is there already. Name a new folder, or replace it with --force.`);
  const strange = names.find((name) => !OWN_NAME.test(name));
  if (strange !== undefined)
    throw new UsageError(`--dicom ${dir} holds ${strange}, which is not of an exchange, so nothing is replaced. Name a new folder.`);
}

/** Throws UsageError when `path` may not be written to. */
export async function checkFhirFile(path: string, force: boolean): Promise<void> {
  const facts = await stat(path).catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return null;
    throw new UsageError(`--fhir ${path} is no file that can be written (${error.code}). Name a file.`);
  });
  if (facts?.isDirectory()) throw new UsageError(`--fhir ${path} is a folder. Name a file.`);
  if (facts && !force) throw new UsageError(`--fhir ${path} is there already. Name a new file, or replace it with --force.`);
}

/** Writes all files beside the place and puts the folder there; a former exchange goes last. */
export async function writeDicomFolder(
  dir: string,
  files: readonly Readonly<{ name: string; bytes: Uint8Array }>[],
  force: boolean,
): Promise<void> {
  const strange = files.find(({ name }) => !OWN_NAME.test(name));
  if (strange) throw new RangeError(`${strange.name} is no file of an exchange`);
  await putFolder(dir, files, 'The files', () => checkDicomFolder(dir, force));
}
