/**
 * The vault: seals what shows or names a person, so that the files alone say nothing. One data key for the whole record.
 * How the key itself is kept is in keyring.ts; how sealed bytes look, in seal-format.ts.
 */
import { createHmac, hkdfSync, randomBytes } from 'node:crypto';
import { beginOpen, beginSeal, damaged, HEAD_BYTES, KEY_BYTES, SEAL_BYTES, TAG_BYTES } from './seal-format.ts';

export { VaultError, type VaultFault } from './vault-error.ts';

/** What the data key is wrapped by: a file beside the record, or a passphrase that is written nowhere. */
export type Protection = 'key-file' | 'passphrase';

export type Vault = Readonly<{
  protection: Protection;
  /** Sealed text (base64), bound to its purpose, such as `case.name:ID`. */
  sealText(text: string, purpose: string): string;
  /** Throws VaultError, `damaged` when a byte was changed or the purpose is another. */
  openText(sealed: string, purpose: string): string;
  sealBytes(bytes: Uint8Array, purpose: string): Uint8Array;
  /** Throws VaultError, `damaged` when a byte was changed or the purpose is another. */
  openBytes(sealed: Uint8Array, purpose: string): Uint8Array;
  /** A keyed digest, 64 hexadecimal digits: equal texts have equal ones, and none can be guessed without the key (HMAC-SHA-256). */
  fingerprint(text: string, purpose: string): string;
  /** For streams: the key that `beginSeal` and `beginOpen` take. */
  sealingKey: Uint8Array;
  /** What another process or thread of this program needs to open the same record. Never written down. */
  dataKey: Uint8Array;
}>;

export const newDataKey = (): Uint8Array => new Uint8Array(randomBytes(KEY_BYTES));

/** `dataKey` has 32 bytes. */
export function makeVault(dataKey: Uint8Array, protection: Protection): Vault {
  if (dataKey.length !== KEY_BYTES) throw new RangeError(`a data key has ${KEY_BYTES} bytes, not ${dataKey.length}`);
  const sealingKey = derived(dataKey, 'seal');
  const fingerprintKey = derived(dataKey, 'fingerprint');

  const sealBytes: Vault['sealBytes'] = (bytes, purpose) => {
    const { head, cipher } = beginSeal(sealingKey, purpose);
    return Buffer.concat([head, cipher.update(bytes), cipher.final(), cipher.getAuthTag()]);
  };
  const openBytes: Vault['openBytes'] = (sealed, purpose) => {
    if (sealed.length < SEAL_BYTES) throw damaged();
    const end = sealed.length - TAG_BYTES;
    const decipher = beginOpen(sealingKey, purpose, sealed.subarray(0, HEAD_BYTES), sealed.subarray(end));
    const plain = decipher.update(sealed.subarray(HEAD_BYTES, end));
    try {
      decipher.final();
    } catch {
      throw damaged();
    }
    return new Uint8Array(plain.buffer, plain.byteOffset, plain.length);
  };
  return {
    protection,
    sealBytes,
    openBytes,
    sealText: (text, purpose) => Buffer.from(sealBytes(Buffer.from(text, 'utf8'), purpose)).toString('base64'),
    openText: (sealed, purpose) => {
      const bytes = Buffer.from(sealed, 'base64');
      // Node's reader passes over what is no base64; only the one true spelling counts as whole.
      if (bytes.toString('base64') !== sealed) throw damaged();
      return Buffer.from(openBytes(bytes, purpose)).toString('utf8');
    },
    fingerprint: (text, purpose) => createHmac('sha256', fingerprintKey).update(`${purpose}\0${text}`, 'utf8').digest('hex'),
    sealingKey,
    dataKey,
  };
}

/** A key for one use alone (HKDF-SHA-256, RFC 5869). */
const derived = (dataKey: Uint8Array, use: string): Uint8Array =>
  new Uint8Array(hkdfSync('sha256', dataKey, new Uint8Array(0), `ebbline record ${use} 1`, KEY_BYTES));
