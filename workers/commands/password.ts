/** `ebbline password`: the password that other machines are asked for. */

import { mkdirSync } from 'node:fs';
import { resolve } from 'node:path';
import { defaultDataDir } from '#lib/record/data-dir.ts';
import { hashPassword, removePassword, storedPassword, storePassword, whyNotPassword } from '#lib/record/password.ts';
import { readArguments } from './arguments.ts';
import { type Command, EXIT, UsageError } from './command.ts';
import { newPassphrase } from './unlock.ts';

const WORDS = ['set', 'remove', 'status'] as const;

const help = `ebbline password - what other machines are asked for before they are shown anything

  ebbline password set      sets it, or changes it; asked for twice, or from --password-file
  ebbline password remove   takes it away; then only this machine is served
  ebbline password status   says whether one is set

Only a hash of it is kept (argon2id). It lets people in; what is on the disk is sealed by another key (see "ebbline vault").
A running program keeps the former password until it is started again.

  --password-file FILE      holds the new password and nothing else
  --data DIR                the record; as usual EBBLINE_HOME or ~/.local/share/ebbline

Examples
  ebbline password set
  ebbline serve --host 0.0.0.0 --tls-cert practice.pem --tls-key practice.key
`;

export const password: Command = {
  name: 'password',
  summary: 'what other machines are asked for before they are shown anything',
  help,
  run: async (args, world) => {
    const given = readArguments(args, { data: 'one', 'password-file': 'one' });
    const [word, stray] = given.words;
    if (word === undefined || !(WORDS as readonly string[]).includes(word))
      throw new UsageError('Say "set", "remove" or "status" after "password".');
    if (stray !== undefined) throw new UsageError(`"${stray}" belongs to no option.`);
    if (given.has('password-file') && word !== 'set') throw new UsageError('--password-file belongs to "password set".');
    const dataDir = given.has('data') ? resolve(given.one('data')!) : defaultDataDir(world.env);

    if (word === 'set') {
      const fresh = await newPassphrase('the new password', 'password-file', given.one('password-file'), world);
      const why = whyNotPassword(fresh);
      if (why !== null) throw new UsageError(`${why} Nothing was changed.`);
      mkdirSync(dataDir, { recursive: true, mode: 0o700 });
      storePassword(dataDir, await hashPassword(fresh));
      world.out('The password is set. Start the program anew for it to count.\n');
      return EXIT.done;
    }
    if (word === 'remove') {
      removePassword(dataDir);
      world.out('There is no password any more; only this machine is served from the next start on.\n');
      return EXIT.done;
    }
    world.out(storedPassword(dataDir) ? 'A password is set.\n' : 'No password is set; only this machine is served.\n');
    return EXIT.done;
  },
};
