/**
 * AES-256-GCM with a 96-bit nonce and a 128-bit tag, as the seals use it.
 * Source  NIST SP 800-38D; checked against NIST's CAVP vectors.
 */
import { type CipherGCM, createCipheriv, createDecipheriv, type DecipherGCM } from 'node:crypto';

export const KEY_BYTES = 32;
export const NONCE_BYTES = 12;
export const TAG_BYTES = 16;

const ALGORITHM = 'aes-256-gcm';
const OPTIONS = { authTagLength: TAG_BYTES } as const;

/** `authenticated` is bound to the ciphertext without being in it. One nonce must never be used twice under one key. */
export function gcmCipher(key: Uint8Array, nonce: Uint8Array, authenticated: Uint8Array): CipherGCM {
  return createCipheriv(ALGORITHM, key, nonce, OPTIONS).setAAD(authenticated);
}

/** Nothing it gives may be believed before its `final`, which throws when anything was changed. */
export function gcmDecipher(key: Uint8Array, nonce: Uint8Array, authenticated: Uint8Array, tag: Uint8Array): DecipherGCM {
  return createDecipheriv(ALGORITHM, key, nonce, OPTIONS).setAAD(authenticated).setAuthTag(tag);
}
