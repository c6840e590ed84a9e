/**
 * Brings a record back from its archive into an empty folder, on this machine or another.
 *
 * Everything is written into a folder beside the target and checked there, entry by entry against the manifest and the manifest against
 * the key, before the one rename that makes it the record. Until then the target is not touched, and nothing is ever overwritten.
 */
import { randomBytes } from 'node:crypto';
import { statSync } from 'node:fs';
import { mkdir, readdir, rename, rm, rmdir } from 'node:fs/promises';
import { basename, dirname, join, resolve } from 'node:path';
import { found, type Outcome, type Refusal, refused } from '#shared/outcome.ts';
import { type BackupHead, TABLES_NAME } from './archive-format.ts';
import { openDatabase } from './database.ts';
import { errorCode, flushDir, isNoRoom, makePrivateDir } from './files.ts';
import { writeWholeSync } from './files-sync.ts';
import { makeKeyFile } from './key-file.ts';
import { keyringPath, keyringText, wrapByKeyFile } from './keyring.ts';
import { openVault } from './open-vault.ts';
import { placeOf } from './photo-places.ts';
import { SEAL_BYTES } from './seal-format.ts';
import { altered, type RestoreFault, unpackArchive } from './unpack-archive.ts';
import type { Protection } from './vault.ts';

export type { RestoreFault } from './unpack-archive.ts';
export type Restored = Readonly<{ files: number; photos: number; madeAt: string; protection: Protection }>;
/** `passphrase` is asked for once the archive is known to be one. */
export type RestoreHow = Readonly<{ dataDir: string; passphrase: () => Promise<string> }>;

/** Restores `file` into `dataDir`, which must be empty or not exist. After a refusal nothing is left of the attempt. */
export async function restoreRecord(file: string, { dataDir, passphrase }: RestoreHow): Promise<Outcome<Restored, RestoreFault>> {
  const target = resolve(dataDir);
  const inTheWay = await whyNotInto(target);
  if (inTheWay) return inTheWay;
  const aside = join(dirname(target), `.${basename(target)}.unfinished-restore-${randomBytes(6).toString('hex')}`);
  try {
    await makePrivateDir(dirname(target));
    await mkdir(aside, { mode: 0o700 });
    const unpacked = await unpackArchive(file, aside, passphrase);
    if (!unpacked.ok) return unpacked;
    const { head, dataKey, files } = unpacked.value;
    const photos = settle(aside, head, dataKey);
    if (!photos.ok) return photos;
    await takePlace(aside, target);
    return found({ files, photos: photos.value, madeAt: head.madeAt, protection: head.protection });
  } catch (error) {
    if (isNoRoom(error))
      return refused('no-room', `There is no room for the record beside ${dataDir}. Free some space, or restore to another disk.`);
    const code = errorCode(error);
    if (code && ['EACCES', 'EROFS', 'EPERM', 'EBUSY', 'ENOTDIR', 'EXDEV'].includes(code))
      return refused('not-writable', `${dataDir} could not be made (${code}). Name a new folder inside one that you may write to.`);
    throw error;
  } finally {
    await rm(aside, { recursive: true, force: true });
  }
}

async function whyNotInto(target: string): Promise<Refusal<RestoreFault> | null> {
  const names = await readdir(target).catch((error) => {
    if (errorCode(error) === 'ENOENT') return [];
    if (errorCode(error) === 'ENOTDIR') return ['.'];
    throw error;
  });
  return names.length === 0
    ? null
    : refused(
        'not-empty',
        `${target} is not empty, and nothing is overwritten. Restore into a new folder, and move it when you have seen that all is well.`,
      );
}

/** Gives the unpacked folder its key, and sees that tables and files belong together. How many photographs there are. */
function settle(aside: string, { keyring, protection }: BackupHead, dataKey: Uint8Array): Outcome<number, RestoreFault> {
  const kept = protection === 'passphrase' ? keyring : wrapByKeyFile(keyring.id, dataKey, makeKeyFile(aside));
  writeWholeSync(keyringPath(aside), keyringText(kept));
  const db = openDatabase(join(aside, TABLES_NAME));
  try {
    const sound = db.get('PRAGMA integrity_check');
    if (sound?.integrity_check !== 'ok') return altered('its tables are damaged');
    openVault(db, aside, { key: dataKey });
    const photos = db.all('SELECT sha256, bytes FROM photo');
    const missing = photos.find(({ sha256, bytes }) => sizeOf(placeOf(aside, String(sha256))) !== Number(bytes) + SEAL_BYTES);
    return missing ? altered(`the photograph ${String(missing.sha256).slice(0, 12)} is missing`) : found(photos.length);
  } finally {
    db.close();
  }
}

const sizeOf = (path: string): number => statSync(path, { throwIfNoEntry: false })?.size ?? -1;

/** The rename comes last; an empty folder in the way is removed for it. */
async function takePlace(aside: string, target: string): Promise<void> {
  for (const entry of [aside, dirname(target)]) await flushDir(entry);
  await rmdir(target).catch((error) => {
    if (errorCode(error) !== 'ENOENT') throw error;
  });
  await rename(aside, target);
  await flushDir(dirname(target));
}
