/**
 * Files that are whole or absent, and readable by their owner only.
 * A file is written under another name, flushed to the disk, and then renamed: a cut of power leaves no half photograph.
 */
import { randomBytes } from 'node:crypto';
import { type FileHandle, mkdir, open, readFile, rename, rm } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';

const OWNER_DIR = 0o700;
const OWNER_FILE = 0o600;

/** The start of the name of everything unfinished; `sweep` in shelf-keeping removes what a crash left. */
export const UNFINISHED = '.unfinished-';

export async function makePrivateDir(path: string): Promise<void> {
  await mkdir(path, { recursive: true, mode: OWNER_DIR });
}

export const unfinishedName = (path: string): string =>
  join(dirname(path), `${UNFINISHED}${basename(path)}-${randomBytes(6).toString('hex')}`);

/** Creates a file that must not exist yet. */
export const createPrivate = (path: string): Promise<FileHandle> => open(path, 'wx', OWNER_FILE);

/** Flushes a directory, so that a rename in it survives a cut of power. Where the system cannot, nothing is lost but that. */
export async function flushDir(path: string): Promise<void> {
  const handle = await open(path, 'r').catch(() => null);
  if (!handle) return;
  await handle.sync().catch(() => undefined);
  await handle.close();
}

/** Writes the whole file or nothing; replaces what stood there. */
export async function writeWhole(path: string, bytes: Uint8Array): Promise<void> {
  const unfinished = unfinishedName(path);
  const handle = await createPrivate(unfinished);
  try {
    await handle.writeFile(bytes);
    await handle.sync();
    await handle.close();
    await rename(unfinished, path);
  } catch (error) {
    await handle.close().catch(() => undefined);
    await rm(unfinished, { force: true });
    throw error;
  }
  await flushDir(dirname(path));
}

/** The bytes, or null when there is no such file. */
export async function readIfThere(path: string): Promise<Uint8Array | null> {
  try {
    const bytes = await readFile(path);
    return new Uint8Array(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  } catch (error) {
    if (errorCode(error) === 'ENOENT') return null;
    throw error;
  }
}

export const errorCode = (error: unknown): string | undefined =>
  error instanceof Error && 'code' in error ? String(error.code) : undefined;

/** Of SQLite's result codes, the one for a full disk (sqlite.org/rescode.html). */
const SQLITE_FULL = 13;

/** A disk or a quota that is full, rather than a fault of the program. */
export const isNoRoom = (error: unknown): boolean =>
  ['ENOSPC', 'EDQUOT', 'EFBIG'].includes(errorCode(error) ?? '') ||
  (error instanceof Error && 'errcode' in error && error.errcode === SQLITE_FULL);
