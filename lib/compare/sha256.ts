/** SHA-256 of a text, hex. One of the few places in lib that use Node: the hash is pure, its implementation is the platform's. */
import { createHash } from 'node:crypto';

export const sha256Hex = (text: string): string => createHash('sha256').update(text, 'utf8').digest('hex');
