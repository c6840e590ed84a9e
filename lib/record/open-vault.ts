/**
 * Finds, or makes, the key of a record, and opens its vault.
 *
 * The write lock of the database is held meanwhile, so that of two processes that open a new record at once only one makes a key.
 * A key is never made where something may be sealed with another: the database remembers its vault, and sealed files are looked for.
 */
import { existsSync } from 'node:fs';
import type { Database } from './database.ts';
import { ownersAlone, readTextIfThere, writeWholeSync } from './files-sync.ts';
import { keyFilePath, makeKeyFile, readKeyFile, removeKeyFile } from './key-file.ts';
import {
  type Keyring,
  keyringPath,
  keyringText,
  newKeyringId,
  parseKeyring,
  unwrap,
  unwrapByPassphrase,
  wrapByKeyFile,
} from './keyring.ts';
import { hasSealedFiles } from './sealed-files.ts';
import { makeVault, newDataKey, type Protection, type Vault, VaultError } from './vault.ts';

/** What a caller may bring: the data key from another process of the program, or the passphrase. A key file is found by itself. */
export type VaultKey = Readonly<{ key?: Uint8Array | undefined; passphrase?: string | undefined }>;

export type OpenVault = Readonly<{
  vault: Vault;
  /** Sentences for the user about what was put right. */
  notes: readonly string[];
}>;

/** Null when the folder holds no keyring yet. Throws VaultError `newer` or `keyring-damaged`. */
export function protectionOf(dataDir: string): Protection | null {
  return readKeyring(dataDir)?.protection ?? null;
}

/** Throws VaultError; then nothing has been written. */
export function openVault(db: Database, dataDir: string, given: VaultKey = {}): OpenVault {
  return db.transaction(() => {
    const known = db.get('SELECT id, proof FROM vault');
    const keyring = readKeyring(dataDir) ?? firstKeyring(db, dataDir, known !== undefined);
    const notes = guardFiles(dataDir, keyring.protection);
    const vault = makeVault(given.key ?? dataKeyOf(keyring, dataDir, given.passphrase), keyring.protection);
    if (!known) db.run('INSERT INTO vault (one, id, proof) VALUES (1, ?, ?)', keyring.id, vault.sealText(keyring.id, PROOF));
    else if (known.id !== keyring.id || !proves(vault, String(known.proof), keyring.id)) throw otherStore();
    // Left by a stop between the new wrap and the removal of the key file; it opens nothing any more.
    if (keyring.protection === 'passphrase' && given.key === undefined) removeKeyFile(dataDir);
    return { vault, notes };
  });
}

/** The data key by the keyring as it lies there. Throws VaultError. */
export function dataKeyOf(keyring: Keyring, dataDir: string, passphrase: string | undefined): Uint8Array {
  if (keyring.protection === 'passphrase') {
    if (passphrase === undefined)
      throw new VaultError('locked', 'The record is locked with a passphrase. Give it at the terminal or with --passphrase-file.');
    const dataKey = unwrapByPassphrase(keyring, passphrase);
    if (!dataKey) throw wrongPassphrase();
    return dataKey;
  }
  const key = readKeyFile(dataDir);
  if (!key)
    throw new VaultError(
      'no-key-file',
      `The record in ${dataDir} is sealed, and its file "key" is missing. Put that file back, or restore a backup; nothing was touched.`,
    );
  const dataKey = unwrap(keyring, key);
  if (!dataKey)
    throw new VaultError(
      'keyring-damaged',
      'The file "key" does not fit keyring.json: one of them was changed or belongs to another record. Put the right one back; nothing was touched.',
    );
  return dataKey;
}

export const wrongPassphrase = (): VaultError =>
  new VaultError('wrong-passphrase', 'That is not the passphrase of this record. Mind capitals and the keyboard; nothing was touched.');

export function readKeyring(dataDir: string): Keyring | null {
  const text = readTextIfThere(keyringPath(dataDir));
  return text === null ? null : parseKeyring(text);
}

const PROOF = 'vault.proof';

function firstKeyring(db: Database, dataDir: string, known: boolean): Keyring {
  const plainBytes = (name: string): number | null => (db.get('SELECT bytes FROM photo WHERE sha256 = ?', name)?.bytes as number) ?? null;
  if (known || hasSealedFiles(dataDir, plainBytes))
    throw new VaultError(
      'no-keyring',
      `The record in ${dataDir} is sealed, and its file keyring.json is missing. Put it back from a backup; no new key was made, since it could open nothing.`,
    );
  // A key file without a keyring was left by a stop between the two; nothing is sealed with it yet, and it is as good as a new one.
  const key = readKeyFile(dataDir) ?? makeKeyFile(dataDir);
  const keyring = wrapByKeyFile(newKeyringId(), newDataKey(), key);
  writeWholeSync(keyringPath(dataDir), keyringText(keyring));
  return keyring;
}

/** Key files that others could read are closed, and the user is told; where that cannot be done, nothing is opened. */
function guardFiles(dataDir: string, protection: Protection): string[] {
  const path = keyFilePath(dataDir);
  if (protection !== 'key-file' || !existsSync(path)) return [];
  const found = ownersAlone(path);
  if (found === 'open')
    throw new VaultError(
      'keyring-open',
      `Other users of this machine can read ${path}, and that could not be changed. Make it readable by its owner only (chmod 600).`,
    );
  return found === 'well'
    ? []
    : [
        `Other users of this machine could read ${path} until now; it is closed again. Whoever copied it together with the record can open what was in it then.`,
      ];
}

function proves(vault: Vault, proof: string, id: string): boolean {
  try {
    return vault.openText(proof, PROOF) === id;
  } catch (error) {
    if (error instanceof VaultError && error.code === 'damaged') return false;
    throw error;
  }
}

const otherStore = (): VaultError =>
  new VaultError(
    'other-store',
    'keyring.json belongs to another record than the database beside it. Put the right one back; nothing was touched.',
  );
