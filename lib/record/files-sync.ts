/** Small files written, read and removed in one go, for what happens while the record is being opened or inside a transaction. */
import { chmodSync, closeSync, fsyncSync, openSync, readFileSync, renameSync, rmSync, statSync, writeSync } from 'node:fs';
import { dirname } from 'node:path';
import { errorCode, unfinishedName } from './files.ts';

/** Writes the whole file or nothing, flushed to the disk; readable by the owner only. Replaces what stood there. */
export function writeWholeSync(path: string, content: string | Uint8Array): void {
  const unfinished = unfinishedName(path);
  const bytes = typeof content === 'string' ? Buffer.from(content, 'utf8') : content;
  try {
    const file = openSync(unfinished, 'wx', 0o600);
    try {
      for (let done = 0; done < bytes.length; ) done += writeSync(file, bytes, done);
      fsyncSync(file);
    } finally {
      closeSync(file);
    }
    renameSync(unfinished, path);
  } catch (error) {
    rmSync(unfinished, { force: true });
    throw error;
  }
  flushDirSync(dirname(path));
}

/** Null when there is no such file. */
export function readTextIfThere(path: string): string | null {
  try {
    return readFileSync(path, 'utf8');
  } catch (error) {
    if (errorCode(error) === 'ENOENT') return null;
    throw error;
  }
}

export function removeWhole(path: string): void {
  rmSync(path, { force: true });
  flushDirSync(dirname(path));
}

/** `repaired` when others could read the file and no longer can; `open` when that could not be changed. */
export function ownersAlone(path: string): 'well' | 'repaired' | 'open' {
  // Windows keeps no such bits; there the folder of the user is protected by its own rules.
  if (process.platform === 'win32') return 'well';
  const looseBits = (): number => statSync(path).mode & 0o077;
  if (looseBits() === 0) return 'well';
  try {
    chmodSync(path, 0o600);
  } catch {
    return 'open';
  }
  return looseBits() === 0 ? 'repaired' : 'open';
}

function flushDirSync(path: string): void {
  try {
    const dir = openSync(path, 'r');
    try {
      fsyncSync(dir);
    } finally {
      closeSync(dir);
    }
  } catch {
    // Not every system flushes a folder; the file itself is on the disk.
  }
}
