/** `ebbline serve`: the page, on this machine, or for other machines behind a password. */
import { resolve } from 'node:path';
import { defaultDataDir } from '#lib/record/data-dir.ts';
import { unlockRecord } from '#lib/record/unlock.ts';
import { serve as serveProgram, USUAL_PORT, whyNotServe } from '#workers/serve.ts';
import { noWords, readArguments } from './arguments.ts';
import { type Command, EXIT, UsageError } from './command.ts';
import { PASSPHRASE_HELP, unlocked } from './unlock.ts';
import { portValue } from './values.ts';

const help = `ebbline serve - the program as a page in your browser

  ebbline serve [--port PORT] [--data DIR] [--passphrase-file FILE] [--sign-in]
  ebbline serve --host HOST (--tls-cert FILE --tls-key FILE | --plain-http) [--name NAME...] ...

As usual it answers this machine alone; photographs never leave it. The demo case is prepared at the first start.
With --host it answers other machines too, to whoever gives the password (see "ebbline password").

  --port PORT          ${USUAL_PORT} as usual, or the next one that is free
  --host HOST          127.0.0.1 as usual; an address of this machine, or 0.0.0.0 for all of them
  --tls-cert FILE      certificate and
  --tls-key FILE       key, PEM, for serving other machines encrypted
  --plain-http         serves other machines unencrypted; for a network that is encrypted itself
  --name NAME...       names under which other machines reach it, beside its addresses
  --sign-in            asks for the password on this machine too
  --data DIR           where photographs and results are kept; as usual EBBLINE_HOME or ~/.local/share/ebbline
${PASSPHRASE_HELP}

Examples
  ebbline serve
  ebbline serve --port 8080 --data /srv/ebbline
  ebbline serve --host 0.0.0.0 --tls-cert practice.pem --tls-key practice.key --name photos.practice.lan
`;

export const serve: Command = {
  name: 'serve',
  summary: 'the program as a page in your browser',
  help,
  run: async (args, world) => {
    const given = readArguments(args, {
      port: 'one',
      host: 'one',
      data: 'one',
      'passphrase-file': 'one',
      'tls-cert': 'one',
      'tls-key': 'one',
      'plain-http': 'none',
      name: 'list',
      'sign-in': 'none',
    });
    noWords(given);
    const port = given.has('port') ? portValue(given.one('port')!) : null;
    const host = given.one('host') ?? '127.0.0.1';
    const dataDir = given.has('data') ? resolve(given.one('data')!) : defaultDataDir(world.env);
    const others = {
      tlsCert: given.has('tls-cert') ? resolve(given.one('tls-cert')!) : null,
      tlsKey: given.has('tls-key') ? resolve(given.one('tls-key')!) : null,
      plainHttp: given.has('plain-http'),
      names: given.list('name').map((name) => name.toLowerCase()),
    };
    const signIn = given.has('sign-in');
    const why = await whyNotServe({ host, port, dataDir, others, signIn }, world.env);
    if (why !== null) throw new UsageError(why);
    const key = unlockRecord(dataDir, await unlocked(dataDir, given.one('passphrase-file'), world));
    for (const note of key.notes) world.err(`${note}\n`);

    const ending = new AbortController();
    const end = (): void => ending.abort();
    const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;
    for (const signal of SIGNALS) process.on(signal, end);
    try {
      const inOrder = await serveProgram(
        { host, port, dataDir, key, others, signIn, say: (line) => world.out(`${line}\n`), complain: (line) => world.err(`${line}\n`) },
        ending.signal,
      );
      return inOrder ? EXIT.done : EXIT.ownError;
    } finally {
      for (const signal of SIGNALS) process.off(signal, end);
    }
  },
};
