/** Sealed files: written whole or not at all, and read only when every byte is as it was sealed. */
import { closeSync, globSync, openSync, readSync, statSync } from 'node:fs';
import { open } from 'node:fs/promises';
import { join } from 'node:path';
import { errorCode, writeWhole } from './files.ts';
import { beginOpen, damaged, HEAD_BYTES, SEAL_BYTES, startsSealed, TAG_BYTES } from './seal-format.ts';
import type { Vault } from './vault.ts';

/** Folders of the record whose files are sealed. */
export const SEALED_FOLDERS = ['photos', 'comparisons', 'reports'] as const;

const PIECE_BYTES = 1 << 20;

/** Replaces what stood there. */
export const writeSealed = (vault: Vault, path: string, bytes: Uint8Array, purpose: string): Promise<void> =>
  writeWhole(path, vault.sealBytes(bytes, purpose));

/**
 * The plain bytes, or null when there is no such file. The file is opened piece by piece into its place, so that a large photograph
 * is in memory once; nothing is given out before the tag of the whole was found right. Throws VaultError `damaged` or `newer`.
 */
export async function readSealed(vault: Vault, path: string, purpose: string): Promise<Uint8Array | null> {
  const handle = await open(path, 'r').catch((error) => {
    if (errorCode(error) === 'ENOENT') return null;
    throw error;
  });
  if (!handle) return null;
  try {
    const { size } = await handle.stat();
    if (size < SEAL_BYTES) throw damaged();
    const read = async (into: Uint8Array, at: number): Promise<void> => {
      for (let done = 0; done < into.length; ) {
        const { bytesRead } = await handle.read(into, done, into.length - done, at + done);
        // The file became shorter while it was being read.
        if (bytesRead === 0) throw damaged();
        done += bytesRead;
      }
    };
    const head = new Uint8Array(HEAD_BYTES);
    const tag = new Uint8Array(TAG_BYTES);
    await read(head, 0);
    await read(tag, size - TAG_BYTES);
    const decipher = beginOpen(vault.sealingKey, purpose, head, tag);
    const plain = new Uint8Array(size - SEAL_BYTES);
    const piece = new Uint8Array(Math.min(PIECE_BYTES, plain.length));
    for (let at = 0; at < plain.length; at += piece.length) {
      const part = piece.subarray(0, Math.min(piece.length, plain.length - at));
      await read(part, HEAD_BYTES + at);
      plain.set(decipher.update(part), at);
    }
    try {
      decipher.final();
    } catch {
      throw damaged();
    }
    return plain;
  } finally {
    await handle.close();
  }
}

/**
 * Whether any file of the record is sealed, by its first bytes. A photograph that only begins like it, as an upload of ill will may, has
 * the length of its plain bytes; `plainBytes` says that of a file's name, or null when it is no photograph that a row knows.
 */
export function hasSealedFiles(dataDir: string, plainBytes: (name: string) => number | null): boolean {
  const files = globSync(`{${SEALED_FOLDERS.join(',')}}/**`, { cwd: dataDir, withFileTypes: true }).filter((entry) => entry.isFile());
  return files.some((entry) => {
    const path = join(entry.parentPath, entry.name);
    return startsSealed(firstBytes(path)) && statSync(path).size !== plainBytes(entry.name);
  });
}

/** Enough of the file to know its form. */
export function firstBytes(path: string): Uint8Array {
  const file = openSync(path, 'r');
  try {
    const head = new Uint8Array(HEAD_BYTES);
    return head.subarray(0, readSync(file, head, 0, HEAD_BYTES, 0));
  } finally {
    closeSync(file);
  }
}
