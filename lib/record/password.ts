/**
 * The password that other machines need to be served: only its argon2id hash is kept, in DIR/password.json, which the owner alone can
 * read. It opens nothing that is sealed; that is the vault's passphrase.
 *
 * Sources  RFC 9106 (argon2id); OWASP Password Storage Cheat Sheet: at least 19 MiB, 2 passes, 1 lane. What is taken is above it.
 */
import { argon2, timingSafeEqual } from 'node:crypto';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { z } from 'zod';
import { readTextIfThere, removeWhole, writeWholeSync } from './files-sync.ts';
import { type Argon2id, argon2idSchema, freshArgon2id, LEAST_PASSPHRASE, MOST_PASSPHRASE } from './passphrase.ts';

const HASH_BYTES = 32;
const hashSchema = z.strictObject({ schema: z.literal('ebbline-password-1'), argon2id: argon2idSchema, hash: z.base64().length(44) });
export type PasswordHash = z.infer<typeof hashSchema>;

const placeOf = (dataDir: string): string => join(dataDir, 'password.json');

/** Null, or the sentence that says which rule a new password breaks. */
export function whyNotPassword(password: string): string | null {
  const characters = [...password.normalize('NFKC')];
  if (characters.length < LEAST_PASSPHRASE)
    return `The password needs at least ${LEAST_PASSPHRASE} characters; this one has ${characters.length}. Several words that have nothing to do with each other are good.`;
  if (characters.length > MOST_PASSPHRASE)
    return `The password has at most ${MOST_PASSPHRASE} characters; this one has ${characters.length}.`;
  if (new Set(characters).size < 5) return 'A password of fewer than five different characters is guessed at once. Use several words.';
  return null;
}

/** With a salt of its own. Takes a good tenth of a second, on another thread. */
export async function hashPassword(password: string, how: Argon2id = freshArgon2id()): Promise<PasswordHash> {
  return { schema: 'ebbline-password-1', argon2id: how, hash: (await derived(password, how)).toString('base64') };
}

/** Compared in constant time. */
export async function isPassword({ argon2id, hash }: PasswordHash, given: string): Promise<boolean> {
  if (given.length > MOST_PASSPHRASE) return false;
  return timingSafeEqual(await derived(given, argon2id), Buffer.from(hash, 'base64'));
}

/** Null when none is set. Throws with a sentence when the file is not as it was written. */
export function storedPassword(dataDir: string): PasswordHash | null {
  const text = readTextIfThere(placeOf(dataDir));
  if (text === null) return null;
  try {
    return hashSchema.parse(JSON.parse(text));
  } catch {
    throw new Error(`The file ${placeOf(dataDir)} is not as the program writes it. Set the password again with "ebbline password set".`);
  }
}

export const storePassword = (dataDir: string, hash: PasswordHash): void => writeWholeSync(placeOf(dataDir), `${JSON.stringify(hash)}\n`);
export const removePassword = (dataDir: string): void => removeWhole(placeOf(dataDir));

/** The same characters count as the same whichever keyboard composed them (NFKC). */
async function derived(password: string, { memoryKiB, passes, lanes, salt }: Argon2id): Promise<Buffer> {
  const key = await promisify(argon2)('argon2id', {
    message: Buffer.from(password.normalize('NFKC'), 'utf8'),
    nonce: Buffer.from(salt, 'base64'),
    parallelism: lanes,
    tagLength: HASH_BYTES,
    memory: memoryKiB,
    passes,
  });
  return Buffer.from(key);
}
