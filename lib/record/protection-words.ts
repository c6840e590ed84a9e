/** What the program says of how the record's key is kept: the same words in the terminal and on the page. */
import type { Protection } from './vault.ts';

export const protectionSentence = (protection: Protection): string =>
  protection === 'passphrase'
    ? 'The record is sealed, and locked with your passphrase. Whoever has the disk but not the passphrase reads nothing.'
    : 'The record is sealed with a key file beside it that only your user can read. Whoever takes the whole folder can open it; ebbline vault passphrase locks it with a passphrase.';
