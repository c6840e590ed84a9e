/** A table on its way to the disk: written piece by piece beside its place, hashed meanwhile, and renamed when it is whole. */
import { createHash, randomBytes } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { open, rename, rm, stat } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';

export type FileFacts = Readonly<{ bytes: number; sha256: string }>;
export type TextFile = Readonly<{
  add: (text: string) => Promise<void>;
  /** Puts the file in its place. */
  end: () => Promise<FileFacts>;
  /** Leaves nothing behind. */
  drop: () => Promise<void>;
}>;

const PIECE = 1 << 20;

export const unfinishedBeside = (path: string): string =>
  join(dirname(path), `.${basename(path)}.unfinished-${randomBytes(4).toString('hex')}`);

export async function openTextFile(path: string): Promise<TextFile> {
  const unfinished = unfinishedBeside(path);
  const handle = await open(unfinished, 'wx');
  const hash = createHash('sha256');
  let held = '';
  let bytes = 0;
  const flush = async (): Promise<void> => {
    const piece = Buffer.from(held);
    held = '';
    hash.update(piece);
    bytes += piece.length;
    await handle.writeFile(piece);
  };
  return {
    add: async (text) => {
      held += text;
      if (held.length >= PIECE) await flush();
    },
    end: async () => {
      await flush();
      await handle.close();
      await rename(unfinished, path);
      return { bytes, sha256: hash.digest('hex') };
    },
    drop: async () => {
      await handle.close().catch(() => undefined);
      await rm(unfinished, { force: true });
    },
  };
}

export async function factsOfFile(path: string): Promise<FileFacts> {
  const hash = createHash('sha256');
  for await (const piece of createReadStream(path)) hash.update(piece as Buffer);
  return { bytes: (await stat(path)).size, sha256: hash.digest('hex') };
}
