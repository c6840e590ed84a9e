/**
 * The newest line's number and hash in a file beside the tables. A chain alone cannot show that its last lines are gone, because what
 * remains is whole; this file can, and so can a copy of it that somebody noted down elsewhere.
 *
 * It is written after a line is on the disk, so it may lag behind the chain after a crash, and is never ahead of it.
 */
import { randomBytes } from 'node:crypto';
import { readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { UNFINISHED } from './files.ts';

export type AuditHead = Readonly<{ n: number; hash: string }>;

const placeOf = (dataDir: string): string => join(dataDir, 'audit-head');

/** `12:9f86...`, as the file has it and as it is noted down. Null when it is not of that form. */
export function readHead(text: string): AuditHead | null {
  const match = /^(\d{1,15}):([0-9a-f]{64})\s*$/.exec(text);
  return match ? { n: Number(match[1]), hash: match[2]! } : null;
}

/** `missing` when there is no file, `unreadable` when it holds something else. */
export function keptHead(dataDir: string): AuditHead | 'missing' | 'unreadable' {
  try {
    return readHead(readFileSync(placeOf(dataDir), 'utf8')) ?? 'unreadable';
  } catch (error) {
    if (error instanceof Error && 'code' in error && error.code === 'ENOENT') return 'missing';
    throw error;
  }
}

/** Writes the head unless a later one stands there already: two processes may come out of order. */
export function keepHead(dataDir: string, head: AuditHead): void {
  const kept = keptHead(dataDir);
  if (typeof kept === 'object' && kept.n >= head.n) return;
  const unfinished = join(dataDir, `${UNFINISHED}audit-head-${randomBytes(6).toString('hex')}`);
  try {
    writeFileSync(unfinished, `${head.n}:${head.hash}\n`, { mode: 0o600, flag: 'wx' });
    renameSync(unfinished, placeOf(dataDir));
  } catch (error) {
    rmSync(unfinished, { force: true });
    throw error;
  }
}
