/**
 * Writes the whole record into one archive while the program runs.
 *
 * Under the write lock of the tables, for a moment, every sealed file gets a second name in a folder of its own, and the tables are
 * copied: files and tables of that moment belong together, whatever is added or erased while the archive is written.
 */
import { createHash } from 'node:crypto';
import { constants, copyFileSync, createReadStream, createWriteStream, globSync, linkSync, mkdirSync } from 'node:fs';
import { open, rename, rm, stat } from 'node:fs/promises';
import { dirname, join, resolve } from 'node:path';
import { Transform } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { type Pack, pack } from 'tar-stream';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';
import {
  type ArchiveEntry,
  AUDIT_NAME,
  BACKUP_FORMAT,
  type BackupHead,
  HEAD_NAME,
  MANIFEST_NAME,
  manifestOf,
  TABLES_NAME,
} from './archive-format.ts';
import { type Database, openDatabase } from './database.ts';
import { errorCode, flushDir, isNoRoom, UNFINISHED, unfinishedName } from './files.ts';
import { wrapByPassphrase } from './keyring.ts';
import { now } from './now.ts';
import { openVault, readKeyring, type VaultKey } from './open-vault.ts';
import { checkNewPassphrase } from './passphrase.ts';
import { SEALED_FOLDERS } from './sealed-files.ts';
import type { Vault } from './vault.ts';

export type BackupFault = 'no-record' | 'there-already' | 'no-room' | 'not-writable';
export type BackupMade = Readonly<{ files: number; bytes: number; sha256: string }>;

/**
 * Writes `file`, whole or not at all. `passphrase` locks the archive of a record that a key file protects; that of a record with a
 * passphrase opens with the same one, and none is to be given. Throws VaultError when the record does not open, or `passphrase` is weak.
 */
export async function backupRecord(
  file: string,
  { dataDir, given, passphrase }: Readonly<{ dataDir: string; given: VaultKey; passphrase?: string | undefined }>,
): Promise<Outcome<BackupMade, BackupFault>> {
  const path = resolve(file);
  if (!(await isThere(join(dataDir, TABLES_NAME))))
    return refused('no-record', `There is no record in ${dataDir}. Name another folder with --data.`);
  if (await isThere(path)) return refused('there-already', `${file} is there already, and nothing is overwritten. Name a new file.`);
  const unfinished = unfinishedName(path);
  const staged = join(dataDir, `${UNFINISHED}backup-${process.pid}-${Date.now().toString(36)}`);
  const db = openDatabase(join(dataDir, TABLES_NAME));
  try {
    const { vault } = openVault(db, dataDir, given);
    const head = headOf(dataDir, vault, passphrase);
    stage(db, dataDir, staged);
    const made = await writeArchive(unfinished, vault, head, staged);
    await rename(unfinished, path);
    await flushDir(dirname(path));
    return found(made);
  } catch (error) {
    if (isNoRoom(error))
      return refused('no-room', `There is no room left for ${file} or beside the record. Free some space, or name another disk.`);
    const code = errorCode(error);
    if (code && ['ENOENT', 'EACCES', 'EROFS', 'EPERM', 'ENOTDIR'].includes(code))
      return refused(
        'not-writable',
        `${file} could not be written (${code}). Name a file in a folder that exists and that you may write to.`,
      );
    throw error;
  } finally {
    db.close();
    await rm(unfinished, { force: true });
    await rm(staged, { recursive: true, force: true });
  }
}

function headOf(dataDir: string, vault: Vault, passphrase: string | undefined): BackupHead {
  const keyring = readKeyring(dataDir)!;
  const common = { format: BACKUP_FORMAT, madeAt: now(), program: EBBLINE_VERSION, protection: vault.protection } as const;
  if (keyring.protection === 'passphrase') return { ...common, keyring };
  if (passphrase === undefined) throw new RangeError('the archive of a record with a key file needs a passphrase of its own');
  checkNewPassphrase(passphrase);
  return { ...common, keyring: wrapByPassphrase(keyring.id, vault.dataKey, passphrase) };
}

/** Gives everything that belongs to this moment a name in `staged`. */
function stage(db: Database, dataDir: string, staged: string): void {
  mkdirSync(staged, { mode: 0o700 });
  db.transaction(() => {
    for (const name of [...filesOf(dataDir), AUDIT_NAME]) {
      const to = join(staged, name);
      mkdirSync(dirname(to), { recursive: true, mode: 0o700 });
      secondName(join(dataDir, name), to);
    }
    db.snapshot(join(staged, TABLES_NAME));
  });
}

/** In a fixed order. Unfinished files begin with a dot and are not among them. */
const filesOf = (folder: string): string[] =>
  globSync(`{${SEALED_FOLDERS.join(',')}}/**`, { cwd: folder, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) =>
      join(entry.parentPath, entry.name)
        .slice(folder.length + 1)
        .replaceAll('\\', '/'),
    )
    .sort();

function secondName(from: string, to: string): void {
  try {
    linkSync(from, to);
  } catch (error) {
    // Gone meanwhile: what has no row any more is removed outside the lock.
    if (errorCode(error) === 'ENOENT') return;
    // Not every file system knows second names.
    copyFileSync(from, to, constants.COPYFILE_FICLONE | constants.COPYFILE_EXCL);
  }
}

async function writeArchive(path: string, vault: Vault, head: BackupHead, staged: string): Promise<BackupMade> {
  const archive = pack();
  const sum = createHash('sha256');
  let bytes = 0;
  const counted = new Transform({
    transform: (chunk: Uint8Array, _encoding, done) => {
      sum.update(chunk);
      bytes += chunk.length;
      done(null, chunk);
    },
  });
  const written = pipeline(archive, counted, createWriteStream(path, { flags: 'wx', mode: 0o600 }));
  const fill = async (): Promise<number> => {
    const entries: ArchiveEntry[] = [await addBytes(archive, HEAD_NAME, jsonBytes(head))];
    const files = [TABLES_NAME, ...((await isThere(join(staged, AUDIT_NAME))) ? [AUDIT_NAME] : []), ...filesOf(staged)];
    for (const name of files) entries.push(await addFile(archive, name, join(staged, name)));
    await addBytes(archive, MANIFEST_NAME, jsonBytes(manifestOf(vault, entries)));
    archive.finalize();
    return files.length;
  };
  // A disk that fills up ends the writing, and filling would wait for ever.
  const filled = fill().catch((error) => {
    archive.destroy(error instanceof Error ? error : new Error(String(error)));
    throw error;
  });
  const [, files] = await Promise.all([written, Promise.race([filled, written.then(() => filled)])]);
  const handle = await open(path, 'r+');
  await handle.sync().finally(() => handle.close());
  return { files, bytes, sha256: sum.digest('hex') };
}

const jsonBytes = (data: unknown): Uint8Array => new TextEncoder().encode(`${JSON.stringify(data, null, 1)}\n`);
const MODE = 0o600;

async function addBytes(archive: Pack, name: string, bytes: Uint8Array): Promise<ArchiveEntry> {
  await new Promise<void>((resolve, reject) =>
    archive.entry({ name, mode: MODE, mtime: new Date(0) }, Buffer.from(bytes), (error) => (error ? reject(error) : resolve())),
  );
  return { name, bytes: bytes.length, sha256: createHash('sha256').update(bytes).digest('hex') };
}

async function addFile(archive: Pack, name: string, path: string): Promise<ArchiveEntry> {
  const { size } = await stat(path);
  const hash = createHash('sha256');
  const entry = archive.entry({ name, size, mode: MODE, mtime: new Date(0) });
  const hashed = new Transform({
    transform: (chunk: Uint8Array, _encoding, done) => {
      hash.update(chunk);
      done(null, chunk);
    },
  });
  await pipeline(createReadStream(path), hashed, entry);
  return { name, bytes: size, sha256: hash.digest('hex') };
}

const isThere = (path: string): Promise<boolean> =>
  stat(path).then(
    () => true,
    () => false,
  );
