/**
 * Passphrases: what makes a fit one, and the key that comes of it by argon2id.
 *
 * Sources  RFC 9106, argon2id version 0x13. OWASP Password Storage Cheat Sheet: at least 19 MiB, 2 passes, 1 lane; ours are above it.
 *          NIST SP 800-63B, 3.1.1: length counts, composition rules do not; Unicode is normalised before it is hashed.
 */
import { argon2Sync, randomBytes } from 'node:crypto';
import { z } from 'zod';
import { KEY_BYTES } from './seal-format.ts';
import { VaultError } from './vault-error.ts';

/** In characters, after normalisation. */
export const LEAST_PASSPHRASE = 12;
export const MOST_PASSPHRASE = 1024;

/** Bounds keep a changed file from weakening the key, or from asking for the machine's whole memory. */
export const argon2idSchema = z.strictObject({
  memoryKiB: z.number().int().min(19_456).max(1_048_576),
  passes: z.number().int().min(2).max(64),
  lanes: z.number().int().min(1).max(16),
  salt: z.base64().min(20).max(100),
});
export type Argon2id = z.infer<typeof argon2idSchema>;

/** About a fifth of a second on a machine of 2024. */
export const freshArgon2id = (): Argon2id => ({ memoryKiB: 65_536, passes: 3, lanes: 1, salt: randomBytes(16).toString('base64') });

/** 32 bytes. The same characters give the same key whichever keyboard composed them (NFKC). */
export function keyFromPassphrase(passphrase: string, { memoryKiB, passes, lanes, salt }: Argon2id): Uint8Array {
  return argon2Sync('argon2id', {
    message: Buffer.from(passphrase.normalize('NFKC'), 'utf8'),
    nonce: Buffer.from(salt, 'base64'),
    parallelism: lanes,
    tagLength: KEY_BYTES,
    memory: memoryKiB,
    passes,
  });
}

/** Throws VaultError `weak-passphrase` with the rule that is broken. For new ones; an old one is only right or wrong. */
export function checkNewPassphrase(passphrase: string): void {
  const characters = [...passphrase.normalize('NFKC')];
  if (characters.length < LEAST_PASSPHRASE)
    throw new VaultError(
      'weak-passphrase',
      `A passphrase needs at least ${LEAST_PASSPHRASE} characters; this one has ${characters.length}. Four or five words that have nothing to do with each other are good.`,
    );
  if (characters.length > MOST_PASSPHRASE)
    throw new VaultError('weak-passphrase', `A passphrase has at most ${MOST_PASSPHRASE} characters; this one has ${characters.length}.`);
  if (new Set(characters).size < 5)
    throw new VaultError('weak-passphrase', 'A passphrase of fewer than five different characters is guessed at once. Use several words.');
}
