/** `ebbline vault`: what the key of the record is kept by, and exchanging it. */
import { existsSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { defaultDataDir } from '#lib/record/data-dir.ts';
import { protectionOf } from '#lib/record/open-vault.ts';
import { protectionSentence } from '#lib/record/protection-words.ts';
import { setKeyFile, setPassphrase, unlockRecord } from '#lib/record/unlock.ts';
import { readArguments } from './arguments.ts';
import { type Command, EXIT, UsageError } from './command.ts';
import { newPassphrase, PASSPHRASE_HELP, unlocked } from './unlock.ts';

const WORDS = ['status', 'passphrase', 'key-file'] as const;

const help = `ebbline vault - what locks the photographs and results that are kept

  ebbline vault status       says what the key is kept by
  ebbline vault passphrase   sets a passphrase, or changes it; from then on nothing opens without it
  ebbline vault key-file     goes back to a key file beside the record

Photographs, pictures, reports, names and all free text are sealed on the disk (AES-256-GCM). Until you set a passphrase, the key lies in
a file beside them that only your user can read: that guards a backup or a disk that was thrown away, not a stolen machine. With a
passphrase nothing opens without it. Whoever forgets it loses the record: nobody can open it, and there is no other way in.
A running program goes on; it asks for the passphrase at its next start.

  --data DIR           the record; as usual EBBLINE_HOME or ~/.local/share/ebbline
  --new-passphrase-file FILE
                       holds the new passphrase; else it is asked for twice
${PASSPHRASE_HELP}

Examples
  ebbline vault status
  ebbline vault passphrase
`;

export const vault: Command = {
  name: 'vault',
  summary: 'what locks the photographs and results that are kept',
  help,
  run: async (args, world) => {
    const given = readArguments(args, { data: 'one', 'passphrase-file': 'one', 'new-passphrase-file': 'one' });
    const [word, stray] = given.words;
    if (word === undefined || !(WORDS as readonly string[]).includes(word))
      throw new UsageError(`Say ${WORDS.map((one) => `"${one}"`).join(', ')} after "vault".`);
    if (stray !== undefined) throw new UsageError(`"${stray}" belongs to no option.`);
    if (given.has('new-passphrase-file') && word !== 'passphrase')
      throw new UsageError('--new-passphrase-file belongs to "vault passphrase".');
    const dataDir = given.has('data') ? resolve(given.one('data')!) : defaultDataDir(world.env);
    const say = (line: string): void => world.out(`${line}\n`);

    if (!existsSync(join(dataDir, 'record.sqlite'))) {
      if (word === 'key-file') throw new UsageError(`There is no record in ${dataDir}; a new one has a key file by itself.`);
      if (word === 'status') {
        say(`There is no record in ${dataDir} yet.`);
        return EXIT.done;
      }
    }
    if (word === 'status') {
      const protection = protectionOf(dataDir);
      if (protection === 'key-file') for (const note of unlockRecord(dataDir).notes) world.err(`${note}\n`);
      say(
        protection === null
          ? `The record in ${dataDir} is not sealed yet; it will be at its next opening.`
          : protectionSentence(protection),
      );
      return EXIT.done;
    }
    const key = await unlocked(dataDir, given.one('passphrase-file'), world);
    if (word === 'passphrase') {
      const passphrase = await newPassphrase('the new passphrase', 'new-passphrase-file', given.one('new-passphrase-file'), world);
      setPassphrase(dataDir, key, passphrase);
    } else setKeyFile(dataDir, key);
    say(protectionSentence(protectionOf(dataDir)!));
    return EXIT.done;
  },
};
