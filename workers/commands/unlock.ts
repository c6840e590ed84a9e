/** Passphrases on the command line: from a file, or asked for at the terminal without showing them. Never an argument. */
import { readFile } from 'node:fs/promises';
import { protectionOf, type VaultKey } from '#lib/record/open-vault.ts';
import { unlockRecord } from '#lib/record/unlock.ts';
import { VaultError } from '#lib/record/vault-error.ts';
import { UsageError, type World } from './command.ts';

const TRIES = 3;

/** The line of help that every command with a record shares. */
export const PASSPHRASE_HELP = `  --passphrase-file FILE
                       holds the passphrase, if one is set; as usual EBBLINE_PASSPHRASE_FILE, else it is asked for`;

/**
 * What opens the record in `dataDir`: the data key when a passphrase protects it, nothing when a key file does or there is no record.
 * Throws UsageError when there is nobody to ask, VaultError when the passphrase is wrong.
 */
export async function unlocked(dataDir: string, file: string | undefined, world: World): Promise<VaultKey> {
  if (protectionOf(dataDir) !== 'passphrase') return {};
  const from = file ?? world.env.EBBLINE_PASSPHRASE_FILE;
  if (from) return { key: unlockRecord(dataDir, { passphrase: await passphraseIn(from) }).key };
  if (!world.ask)
    throw new UsageError(
      `The record in ${dataDir} is locked with a passphrase, and there is no terminal to ask at. Name a file that holds it with --passphrase-file or EBBLINE_PASSPHRASE_FILE.`,
    );
  for (let left = TRIES; ; left--) {
    try {
      return { key: unlockRecord(dataDir, { passphrase: await asked(world, 'Passphrase of the record: ') }).key };
    } catch (error) {
      if (!(error instanceof VaultError && error.code === 'wrong-passphrase') || left <= 1) throw error;
      world.err('That is not it.\n');
    }
  }
}

/** A passphrase that is new: from a file, or asked for twice. Throws UsageError when there is neither. */
export async function newPassphrase(what: string, option: string, file: string | undefined, world: World): Promise<string> {
  if (file) return passphraseIn(file);
  if (!world.ask) throw new UsageError(`There is no terminal to ask for ${what} at. Name a file that holds it with --${option}.`);
  const once = await asked(world, `${what[0]!.toUpperCase()}${what.slice(1)}: `);
  const twice = await asked(world, 'The same again: ');
  if (once.normalize('NFKC') !== twice.normalize('NFKC')) throw new UsageError('The two are not the same. Nothing was changed.');
  return once;
}

/** The whole file but the end of its last line. */
export async function passphraseIn(file: string): Promise<string> {
  const text = await readFile(file, 'utf8').catch((error: NodeJS.ErrnoException) => {
    throw new UsageError(`The passphrase file ${file} cannot be read (${error.code}).`);
  });
  const passphrase = text.replace(/\r?\n$/, '');
  if (passphrase === '') throw new UsageError(`The passphrase file ${file} is empty.`);
  if (/[\r\n]/.test(passphrase))
    throw new UsageError(`The passphrase file ${file} has more than one line. It holds the passphrase and nothing else.`);
  return passphrase;
}

export async function asked(world: World, prompt: string): Promise<string> {
  const answer = await world.ask!(prompt);
  if (answer === null) throw new UsageError('No passphrase was given.');
  return answer;
}
