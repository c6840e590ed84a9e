/** `ebbline restore`: a record from its archive, on this machine or another. */
import { resolve } from 'node:path';
import { openRecord } from '#lib/record/open.ts';
import { protectionSentence } from '#lib/record/protection-words.ts';
import { restoreRecord } from '#lib/record/restore.ts';
import { systemUser } from '#workers/system-user.ts';
import { readArguments } from './arguments.ts';
import { type Command, EXIT, UsageError } from './command.ts';
import { asked, passphraseIn } from './unlock.ts';

const help = `ebbline restore - a record from its archive

  ebbline restore FILE --data DIR [--passphrase-file FILE]

DIR must be empty or not exist: nothing is ever overwritten. Every file of the archive is checked before DIR is made; a wrong passphrase,
or an archive that was cut short or changed, leaves nothing behind. The record is protected as it was: with its passphrase, or with a
key file, which is made anew. Start the program on it with ebbline serve --data DIR.

  --data DIR           where the record goes
  --passphrase-file FILE
                       holds the passphrase of the archive; as usual EBBLINE_PASSPHRASE_FILE, else it is asked for

Exit codes: 0 restored, 2 wrong usage or a folder in the way, 4 an archive that cannot be read or opened.

Examples
  ebbline restore /media/disk/ebbline-2026-11.tar --data ~/.local/share/ebbline
`;

export const restore: Command = {
  name: 'restore',
  summary: 'a record from its archive',
  help,
  run: async (args, world) => {
    const given = readArguments(args, { data: 'one', 'passphrase-file': 'one' });
    const [file, stray] = given.words;
    if (file === undefined) throw new UsageError('Name the archive.');
    if (stray !== undefined) throw new UsageError(`"${stray}" belongs to no option.`);
    if (!given.has('data')) throw new UsageError('Say where the record goes with --data DIR; it must be empty or not exist.');
    const dataDir = resolve(given.one('data')!);
    const from = given.one('passphrase-file') ?? world.env.EBBLINE_PASSPHRASE_FILE;
    if (!from && !world.ask)
      throw new UsageError('There is no terminal to ask for the passphrase at. Name a file that holds it with --passphrase-file.');

    let passphrase = '';
    const restored = await restoreRecord(file, {
      dataDir,
      passphrase: async () => {
        passphrase = from ? await passphraseIn(from) : await asked(world, 'Passphrase of the archive: ');
        return passphrase;
      },
    });
    if (!restored.ok) {
      world.err(`${restored.detail}\n`);
      return ['not-empty', 'not-writable', 'no-room'].includes(restored.why) ? EXIT.usage : EXIT.unreadable;
    }
    const { files, photos, madeAt, protection } = restored.value;
    const record = openRecord({ dataDir, ...(protection === 'passphrase' ? { passphrase } : {}) });
    await record
      .casesAs(systemUser())
      .note({ action: 'restore', what: 'record', id: '', case: null, facts: { files, photos, madeAt } })
      .finally(() => record.close());
    world.out(
      `Restored to ${dataDir}: ${files} files, ${photos} photographs, as they were at ${madeAt}.\n${protectionSentence(protection)}\n`,
    );
    return EXIT.done;
  },
};
