/** `ebbline backup`: the whole record in one archive. */
import { resolve } from 'node:path';
import { backupRecord } from '#lib/record/backup.ts';
import { defaultDataDir } from '#lib/record/data-dir.ts';
import { openRecord } from '#lib/record/open.ts';
import { protectionOf } from '#lib/record/open-vault.ts';
import { fixed } from '#shared/numbers.ts';
import { systemUser } from '#workers/system-user.ts';
import { readArguments } from './arguments.ts';
import { type Command, EXIT, UsageError } from './command.ts';
import { newPassphrase, unlocked } from './unlock.ts';

const help = `ebbline backup - the whole record in one archive

  ebbline backup FILE [--data DIR] [--passphrase-file FILE]

Cases, photographs, results, reports, set-ups and the audit as they are at one moment; the program may go on meanwhile. Everything is
sealed in the archive as it is on the disk. A record with a passphrase gives an archive that opens with the same one. For a record with
a key file you are asked for a passphrase for the archive, since the key itself never leaves the machine; without it the archive
cannot be opened. FILE is written whole or not at all, and nothing is overwritten.

  --data DIR           the record; as usual EBBLINE_HOME or ~/.local/share/ebbline
  --passphrase-file FILE
                       holds the passphrase of the record, or the one that the archive is to get; as usual
                       EBBLINE_PASSPHRASE_FILE, else it is asked for

Examples
  ebbline backup /media/disk/ebbline-2026-11.tar
  ebbline backup friday.tar --passphrase-file /root/archive-passphrase
`;

export const backup: Command = {
  name: 'backup',
  summary: 'the whole record in one archive',
  help,
  run: async (args, world) => {
    const given = readArguments(args, { data: 'one', 'passphrase-file': 'one' });
    const [file, stray] = given.words;
    if (file === undefined) throw new UsageError('Name the file that the backup goes to.');
    if (stray !== undefined) throw new UsageError(`"${stray}" belongs to no option.`);
    const dataDir = given.has('data') ? resolve(given.one('data')!) : defaultDataDir(world.env);
    const from = given.one('passphrase-file') ?? world.env.EBBLINE_PASSPHRASE_FILE;
    const locked = protectionOf(dataDir) === 'passphrase';
    const key = await unlocked(dataDir, from, world);
    const passphrase = locked ? undefined : await newPassphrase('a passphrase for the archive', 'passphrase-file', from, world);

    const made = await backupRecord(file, { dataDir, given: key, passphrase });
    if (!made.ok) {
      world.err(`${made.detail}\n`);
      return made.why === 'no-record' ? EXIT.unreadable : EXIT.usage;
    }
    const { files, bytes, sha256 } = made.value;
    const record = openRecord({ dataDir, ...key });
    await record
      .casesAs(systemUser())
      .note({ action: 'export', what: 'record', id: sha256, case: null, facts: { files, bytes } })
      .finally(() => record.close());
    world.out(
      `${file}: ${files} files, ${fixed(bytes / 1e6, 1)} MB\nSHA-256 ${sha256}\nIt opens with ${locked ? 'the passphrase of the record' : 'the passphrase you gave it'}, and with nothing else.\n`,
    );
    return EXIT.done;
  },
};
