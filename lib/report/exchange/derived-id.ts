/**
 * Identifiers that follow from what they name, so that the same inputs give the same bytes: no clock, no chance.
 *
 * Model   a UUID whose bits are the first of a SHA-256, marked as version 8 (made by its own rule) of RFC 9562; as a DICOM
 *         unique identifier it is the UUID's decimal number under the root 2.25.
 * Source  RFC 9562 section 5.8; DICOM PS3.5 annex B.2; ITU-T X.667.
 */
import { createHash } from 'node:crypto';

/** `parts` are told apart, so that ("ab", "c") and ("a", "bc") differ. Lower case, with hyphens. */
export function derivedUuid(...parts: readonly string[]): string {
  const hash = createHash('sha256')
    .update(JSON.stringify(['ebbline', ...parts]))
    .digest();
  hash[6] = (hash[6] & 0x0f) | 0x80;
  hash[8] = (hash[8] & 0x3f) | 0x80;
  const hex = hash.toString('hex').slice(0, 32);
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
}

/** "2.25." and at most 39 digits. */
export const derivedUid = (...parts: readonly string[]): string => `2.25.${BigInt(`0x${derivedUuid(...parts).replaceAll('-', '')}`)}`;

export const sha256Hex = (bytes: Uint8Array | string): string => createHash('sha256').update(bytes).digest('hex');
