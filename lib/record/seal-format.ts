/**
 * The form of sealed bytes: header (magic, version), nonce, AES-256-GCM ciphertext, tag.
 *
 *   0   4  "EBSL"          5  12  nonce, random
 *   4   1  version, 1     17   n  ciphertext, as long as the plain bytes
 *                       17+n  16  tag
 *
 * Authenticated beside the ciphertext: header, then the purpose in UTF-8. The header has a fixed length, so no two pairs run together.
 *
 * Source  NIST SP 800-38D: 96-bit random nonces (8.2.2), at most 2^32 of them under one key (8.3); tag of 128 bits (5.2.1.2).
 */
import { type CipherGCM, type DecipherGCM, randomBytes } from 'node:crypto';
import { gcmCipher, gcmDecipher, KEY_BYTES, NONCE_BYTES, TAG_BYTES } from './aes-gcm.ts';
import { VaultError } from './vault-error.ts';

const MAGIC = 'EBSL';
const VERSION = 1;
const HEADER = Buffer.concat([Buffer.from(MAGIC, 'latin1'), Uint8Array.of(VERSION)]);

export { KEY_BYTES, TAG_BYTES };
/** Bytes before the ciphertext. */
export const HEAD_BYTES = HEADER.length + NONCE_BYTES;
/** What sealing adds to the length. */
export const SEAL_BYTES = HEAD_BYTES + TAG_BYTES;

const authenticated = (purpose: string): Uint8Array => Buffer.concat([HEADER, Buffer.from(purpose, 'utf8')]);

/** Begins a seal: the bytes that stand in front, and the cipher that makes the rest. */
export function beginSeal(key: Uint8Array, purpose: string): { head: Uint8Array; cipher: CipherGCM } {
  const nonce = randomBytes(NONCE_BYTES);
  return { head: Buffer.concat([HEADER, nonce]), cipher: gcmCipher(key, nonce, authenticated(purpose)) };
}

/** Begins to open: `head` has HEAD_BYTES, `tag` has TAG_BYTES. Nothing the decipher gives may be believed before its `final`. */
export function beginOpen(key: Uint8Array, purpose: string, head: Uint8Array, tag: Uint8Array): DecipherGCM {
  if (!startsSealed(head)) throw damaged();
  if (head[MAGIC.length] !== VERSION)
    throw new VaultError('newer', 'This was sealed by a later version of Ebbline. Open the record with that version.');
  return gcmDecipher(key, head.subarray(HEADER.length, HEAD_BYTES), authenticated(purpose), tag);
}

/** Whether bytes look sealed, by any version. */
export const startsSealed = (bytes: Uint8Array): boolean =>
  bytes.length >= MAGIC.length && Buffer.from(bytes.buffer, bytes.byteOffset, MAGIC.length).equals(HEADER.subarray(0, MAGIC.length));

export const damaged = (what = 'Something in the record'): VaultError =>
  new VaultError('damaged', `${what} is not as it was sealed: the disk or a program has changed it. Restore it from a backup.`);
