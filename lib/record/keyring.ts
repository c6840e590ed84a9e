/**
 * The keyring: the record's data key, wrapped. `keyring.json` lies in the record's folder; what unwraps it is either the file `key`
 * beside it or a passphrase. Wrapping again changes the wrap and never the data key, so nothing sealed has to be sealed anew.
 */
import { randomBytes } from 'node:crypto';
import { join } from 'node:path';
import { z } from 'zod';
import { canonicalJson } from '#shared/canonical-json.ts';
import { idSchema } from '#shared/job.ts';
import { argon2idSchema, freshArgon2id, keyFromPassphrase } from './passphrase.ts';
import { beginOpen, beginSeal, HEAD_BYTES, KEY_BYTES, SEAL_BYTES, TAG_BYTES } from './seal-format.ts';
import type { Protection } from './vault.ts';
import { VaultError } from './vault-error.ts';

export const KEYRING_FORMAT = 1;
export const keyringPath = (dataDir: string): string => join(dataDir, 'keyring.json');

const common = { format: z.literal(KEYRING_FORMAT), id: idSchema, wrapped: z.base64() };
export const keyringSchema = z.discriminatedUnion('protection', [
  z.strictObject({ ...common, protection: z.literal('key-file') }),
  z.strictObject({ ...common, protection: z.literal('passphrase'), argon2id: argon2idSchema }),
]);
export type Keyring = z.infer<typeof keyringSchema>;

export const newKeyringId = (): string => randomBytes(16).toString('hex');

/** `key` has 32 bytes: the content of the key file. */
export const wrapByKeyFile = (id: string, dataKey: Uint8Array, key: Uint8Array): Keyring =>
  wrapped({ format: KEYRING_FORMAT, id, protection: 'key-file' }, dataKey, key) as Keyring;

export function wrapByPassphrase(id: string, dataKey: Uint8Array, passphrase: string): Keyring {
  const argon2id = freshArgon2id();
  const open = { format: KEYRING_FORMAT, id, protection: 'passphrase', argon2id } as const;
  return wrapped(open, dataKey, keyFromPassphrase(passphrase, argon2id)) as Keyring;
}

/** The data key, or null when this is not the key that wrapped it or the wrap was changed: the two cannot be told apart. */
export function unwrap(keyring: Keyring, wrappingKey: Uint8Array): Uint8Array | null {
  const { wrapped: text, ...open } = keyring;
  const bytes = Buffer.from(text, 'base64');
  if (bytes.length !== SEAL_BYTES + KEY_BYTES) throw keyringDamaged();
  const end = bytes.length - TAG_BYTES;
  const decipher = beginOpen(wrappingKey, purposeOf(open), bytes.subarray(0, HEAD_BYTES), bytes.subarray(end));
  const dataKey = decipher.update(bytes.subarray(HEAD_BYTES, end));
  try {
    decipher.final();
  } catch {
    return null;
  }
  return new Uint8Array(dataKey);
}

export const unwrapByPassphrase = (keyring: Extract<Keyring, { protection: 'passphrase' }>, passphrase: string): Uint8Array | null =>
  unwrap(keyring, keyFromPassphrase(passphrase, keyring.argon2id));

/** Throws VaultError `newer` or `keyring-damaged`. */
export function parseKeyring(text: string): Keyring {
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch {
    throw keyringDamaged();
  }
  const format = (json as { format?: unknown } | null)?.format;
  if (typeof format === 'number' && format > KEYRING_FORMAT)
    throw new VaultError('newer', 'The keyring was written by a later version of Ebbline. Use that version.');
  const parsed = keyringSchema.safeParse(json);
  if (!parsed.success) throw keyringDamaged();
  return parsed.data;
}

export const keyringText = (keyring: Keyring): string => `${JSON.stringify(keyring, null, 2)}\n`;

export const keyringDamaged = (): VaultError =>
  new VaultError(
    'keyring-damaged',
    'keyring.json in the folder of the record is not as the program wrote it. Put the file back from a backup; nothing in the record was touched.',
  );

/** Everything that is open is authenticated, so that no parameter can be exchanged. */
function wrapped(
  open: Readonly<{ protection: Protection; id: string; format: number }>,
  dataKey: Uint8Array,
  wrappingKey: Uint8Array,
): unknown {
  const { head, cipher } = beginSeal(wrappingKey, purposeOf(open));
  const bytes = Buffer.concat([head, cipher.update(dataKey), cipher.final(), cipher.getAuthTag()]);
  return { ...open, wrapped: bytes.toString('base64') };
}

const purposeOf = (open: object): string => `keyring:${canonicalJson(open)}`;
