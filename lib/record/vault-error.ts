/** Why sealed things cannot be opened, or the store's key cannot be had. The message is a whole sentence for the user. */

/**
 * `locked`: a passphrase is needed and was not given. `no-key-file`, `no-keyring`, `keyring-damaged`, `keyring-open`: the key's own
 * files. `other-store`: this key belongs to another record. `newer`: written by a later version. `damaged`: sealed bytes are not as they
 * were sealed, or not what they are taken for. `weak-passphrase`: the new one breaks the rule that the message says.
 */
export type VaultFault =
  | 'locked'
  | 'wrong-passphrase'
  | 'weak-passphrase'
  | 'no-key-file'
  | 'no-keyring'
  | 'keyring-damaged'
  | 'keyring-open'
  | 'other-store'
  | 'newer'
  | 'damaged';

export class VaultError extends Error {
  readonly code: VaultFault;

  constructor(code: VaultFault, message: string) {
    super(message);
    this.name = 'VaultError';
    this.code = code;
  }
}

/** The fault, or null for any other error. By name, because a bundled page may hold a copy of the class. */
export const vaultFault = (error: unknown): VaultError | null =>
  error instanceof Error && error.name === 'VaultError' ? (error as VaultError) : null;
