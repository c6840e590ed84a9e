/**
 * Brings a record of before the vault under its seal: first the rows, all at once, then the files, one by one.
 *
 * It may be stopped at any moment and goes on at the next opening: the rows' moment is written in the transaction that seals them, and
 * a file is replaced by its sealed form in one rename. Several processes may do it at once; the same file sealed twice is sealed once.
 */
import { closeSync, fstatSync, fsyncSync, globSync, openSync, readSync, renameSync, rmSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import type { Database } from './database.ts';
import { unfinishedName } from './files.ts';
import { keyedDigest } from './job-queue.ts';
import { now } from './now.ts';
import { comparisonFilePurpose, comparisonPurpose, jobPurpose, PHOTO, photoNamePurpose, previewPurpose } from './purposes.ts';
import { beginOpen, beginSeal, HEAD_BYTES, SEAL_BYTES, startsSealed, TAG_BYTES } from './seal-format.ts';
import { firstBytes } from './sealed-files.ts';
import { type Vault, VaultError } from './vault.ts';

const PIECE_BYTES = 1 << 20;

/** How many files were sealed. Nothing is done where it was done before. */
export function sealOldRecord(db: Database, dataDir: string, vault: Vault): number {
  const state = db.get('SELECT rows_sealed_at, files_sealed_at FROM vault')!;
  if (state.rows_sealed_at === null) sealRows(db, vault);
  if (state.files_sealed_at !== null) return 0;
  const sealed = sealFiles(dataDir, vault);
  db.run('UPDATE vault SET files_sealed_at = ? WHERE files_sealed_at IS NULL', now());
  return sealed;
}

function sealRows(db: Database, vault: Vault): void {
  const sealed = db.transaction(() => {
    // Another process may have been first.
    if (db.get('SELECT rows_sealed_at FROM vault')!.rows_sealed_at !== null) return 0;
    const photos = db.all('SELECT sha256, name FROM photo');
    for (const { sha256, name } of photos)
      db.run('UPDATE photo SET name = ? WHERE sha256 = ?', vault.sealText(String(name), photoNamePurpose(String(sha256))), sha256!);
    const jobs = db.all('SELECT id, request, result, fault, digest FROM job');
    for (const { id, request, result, fault, digest } of jobs) {
      const seal = (column: 'request' | 'result' | 'fault', text: string | number | null): string | null =>
        text === null ? null : vault.sealText(String(text), jobPurpose(column, String(id)));
      // A digest given up on has the job's id behind it.
      const [first, ...rest] = String(digest).split(':');
      db.run(
        'UPDATE job SET request = ?, result = ?, fault = ?, digest = ? WHERE id = ?',
        seal('request', request!),
        seal('result', result!),
        seal('fault', fault!),
        [keyedDigest(vault, first!), ...rest].join(':'),
        id!,
      );
    }
    for (const { id, title, comparison } of db.all('SELECT id, title, comparison FROM comparison'))
      db.run(
        'UPDATE comparison SET title = ?, comparison = ? WHERE id = ?',
        vault.sealText(String(title), comparisonPurpose('title', String(id))),
        vault.sealText(String(comparison), comparisonPurpose('comparison', String(id))),
        id!,
      );
    db.run('UPDATE vault SET rows_sealed_at = ?', now());
    return photos.length + jobs.length;
  });
  if (sealed === 0) return;
  // Pages that were given up before still hold what was written on them.
  db.run('VACUUM');
  db.settle();
}

function sealFiles(dataDir: string, vault: Vault): number {
  let sealed = 0;
  for (const name of globSync('{photos,comparisons}/*/*', { cwd: dataDir })) {
    const path = join(dataDir, name);
    const purpose = purposeOfPath(name.split(/[\\/]/));
    if (purpose === null || isSealed(vault, path, purpose)) continue;
    sealFile(vault, path, purpose);
    sealed++;
  }
  return sealed;
}

/** Null for a file that is not the record's. */
function purposeOfPath([folder, group, file]: readonly string[]): string | null {
  if (folder === 'comparisons') return comparisonFilePurpose(group!, file!);
  const photo = /^([0-9a-f]{64})(\.preview\.jpg)?$/.exec(file!);
  if (!photo) return null;
  return photo[2] ? previewPurpose(photo[1]!) : PHOTO;
}

/** A plain file may begin like a sealed one by ill will; only what opens is sealed. */
function isSealed(vault: Vault, path: string, purpose: string): boolean {
  if (!startsSealed(firstBytes(path))) return false;
  const file = openSync(path, 'r');
  try {
    const { size } = fstatSync(file);
    if (size < SEAL_BYTES) return false;
    const [head, tag, piece] = [new Uint8Array(HEAD_BYTES), new Uint8Array(TAG_BYTES), new Uint8Array(PIECE_BYTES)];
    readSync(file, head, 0, HEAD_BYTES, 0);
    readSync(file, tag, 0, TAG_BYTES, size - TAG_BYTES);
    const decipher = beginOpen(vault.sealingKey, purpose, head, tag);
    for (let at = HEAD_BYTES; at < size - TAG_BYTES; ) {
      const read = readSync(file, piece, 0, Math.min(PIECE_BYTES, size - TAG_BYTES - at), at);
      if (read === 0) return false;
      decipher.update(piece.subarray(0, read));
      at += read;
    }
    decipher.final();
    return true;
  } catch (error) {
    // A version byte of no version, or a tag that does not fit.
    if (error instanceof VaultError || /authenticate/.test(String(error))) return false;
    throw error;
  } finally {
    closeSync(file);
  }
}

function sealFile(vault: Vault, path: string, purpose: string): void {
  const unfinished = unfinishedName(path);
  const { head, cipher } = beginSeal(vault.sealingKey, purpose);
  const from = openSync(path, 'r');
  try {
    const to = openSync(unfinished, 'wx', 0o600);
    try {
      const write = (bytes: Uint8Array): void => {
        for (let done = 0; done < bytes.length; ) done += writeSync(to, bytes, done);
      };
      write(head);
      const piece = new Uint8Array(PIECE_BYTES);
      for (let read = readSync(from, piece); read > 0; read = readSync(from, piece)) write(cipher.update(piece.subarray(0, read)));
      write(cipher.final());
      write(cipher.getAuthTag());
      fsyncSync(to);
    } finally {
      closeSync(to);
    }
    renameSync(unfinished, path);
  } finally {
    closeSync(from);
    rmSync(unfinished, { force: true });
  }
}
