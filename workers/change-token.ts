/**
 * The token that must come with everything that changes something, beside the browser's own word on where a request comes from: a
 * page of another site can neither read it nor send it. It is bound to the session (HMAC-SHA-256 under a key of this process), so
 * there is nothing to keep, and one of another session or of an earlier start of the program is not taken.
 */
import { createHmac, randomBytes, timingSafeEqual } from 'node:crypto';

export type ChangeToken = Readonly<{ of: (sessionKey: string) => string; fits: (sessionKey: string, given: string) => boolean }>;

export function makeChangeToken(key: Uint8Array = randomBytes(32)): ChangeToken {
  const digest = (sessionKey: string): Buffer => createHmac('sha256', key).update(sessionKey).digest();
  return {
    of: (sessionKey) => digest(sessionKey).toString('base64url'),
    fits: (sessionKey, given) => {
      const bytes = Buffer.from(given, 'base64url');
      const right = digest(sessionKey);
      return bytes.length === right.length && timingSafeEqual(bytes, right);
    },
  };
}
