/**
 * The key's own affairs: unlocking once for all processes of the program, and exchanging what the key is wrapped by.
 *
 * Wrapping again never touches the data key, so an exchange is one small file. The new wrap is on the disk before anything of the old
 * one goes: a key file is written before the keyring that needs it, and removed after the keyring that does not.
 */
import { join } from 'node:path';
import { defaultDataDir } from './data-dir.ts';
import { type Database, openDatabase } from './database.ts';
import { writeWholeSync } from './files-sync.ts';
import { makeKeyFile, removeKeyFile } from './key-file.ts';
import { type Keyring, keyringPath, keyringText, wrapByKeyFile, wrapByPassphrase } from './keyring.ts';
import { openVault, readKeyring, type VaultKey } from './open-vault.ts';
import { checkNewPassphrase } from './passphrase.ts';
import type { Protection, Vault } from './vault.ts';

export type Unlocked = Readonly<{ key: Uint8Array; protection: Protection; notes: readonly string[] }>;

/** The key that opens the record in every process of this program; makes the record's key where there is no record. Throws VaultError. */
export function unlockRecord(dataDir: string = defaultDataDir(), given: VaultKey = {}): Unlocked {
  return withVault(dataDir, given, (vault, notes) => ({ key: vault.dataKey, protection: vault.protection, notes }));
}

/** Sets a passphrase, or changes it, and removes the key file. Throws VaultError; then nothing is changed. */
export function setPassphrase(dataDir: string, given: VaultKey, passphrase: string): void {
  checkNewPassphrase(passphrase);
  rewrap(dataDir, given, ({ id }, dataKey) => {
    writeKeyring(dataDir, wrapByPassphrase(id, dataKey, passphrase));
    removeKeyFile(dataDir);
  });
}

/** Goes back to a key file, a new one each time. Throws VaultError; then nothing is changed. */
export function setKeyFile(dataDir: string, given: VaultKey): void {
  rewrap(dataDir, given, ({ id, protection }, dataKey) => {
    // Replacing a key file that is in use would shut the record out for the moment between the two writes.
    if (protection === 'key-file') return;
    writeKeyring(dataDir, wrapByKeyFile(id, dataKey, makeKeyFile(dataDir)));
  });
}

const writeKeyring = (dataDir: string, keyring: Keyring): void => writeWholeSync(keyringPath(dataDir), keyringText(keyring));

/** The database's write lock is held, so that no process reads one half of an exchange, and no two exchange at once. */
function rewrap(dataDir: string, given: VaultKey, exchange: (keyring: Keyring, dataKey: Uint8Array) => void): void {
  withVault(dataDir, given, (vault, _, db) => db.transaction(() => exchange(readKeyring(dataDir)!, vault.dataKey)));
}

function withVault<T>(dataDir: string, given: VaultKey, work: (vault: Vault, notes: readonly string[], db: Database) => T): T {
  const db = openDatabase(join(dataDir, 'record.sqlite'));
  try {
    const { vault, notes } = openVault(db, dataDir, given);
    return work(vault, notes, db);
  } finally {
    db.close();
  }
}
