/** The file `key` in the record's folder: 32 random bytes as hexadecimal digits, readable by its owner only. */
import { randomBytes } from 'node:crypto';
import { join } from 'node:path';
import { readTextIfThere, removeWhole, writeWholeSync } from './files-sync.ts';
import { KEY_BYTES } from './seal-format.ts';
import { VaultError } from './vault-error.ts';

export const keyFilePath = (dataDir: string): string => join(dataDir, 'key');

/** Null when there is none. Throws VaultError `keyring-damaged` when it is no key. */
export function readKeyFile(dataDir: string): Uint8Array | null {
  const text = readTextIfThere(keyFilePath(dataDir));
  if (text === null) return null;
  if (!new RegExp(`^[0-9a-f]{${2 * KEY_BYTES}}\\n?$`).test(text))
    throw new VaultError(
      'keyring-damaged',
      'The file "key" in the folder of the record holds no key. Put the file back from a backup of it.',
    );
  return new Uint8Array(Buffer.from(text.trim(), 'hex'));
}

/** Makes a key and writes it. An older key file must not be there. */
export function makeKeyFile(dataDir: string): Uint8Array {
  const key = randomBytes(KEY_BYTES);
  writeWholeSync(keyFilePath(dataDir), `${key.toString('hex')}\n`);
  return new Uint8Array(key);
}

export const removeKeyFile = (dataDir: string): void => removeWhole(keyFilePath(dataDir));
