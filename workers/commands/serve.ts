/** `ebbline serve`: the page, on this machine. */
import { resolve } from 'node:path';
import { defaultDataDir } from '#lib/record/data-dir.ts';
import { unlockRecord } from '#lib/record/unlock.ts';
import { serve as serveProgram, USUAL_PORT, whyNotServe } from '#workers/serve.ts';
import { noWords, readArguments } from './arguments.ts';
import { type Command, EXIT, UsageError } from './command.ts';
import { PASSPHRASE_HELP, unlocked } from './unlock.ts';
import { portValue } from './values.ts';

const help = `ebbline serve - the program as a page in your browser

  ebbline serve [--port PORT] [--host HOST] [--data DIR] [--passphrase-file FILE]

It answers this machine alone; photographs never leave it. The demo case is prepared at the first start.

  --port PORT          ${USUAL_PORT} as usual, or the next one that is free
  --host HOST          127.0.0.1 as usual; other machines are not served
  --data DIR           where photographs and results are kept; as usual EBBLINE_HOME or ~/.local/share/ebbline
${PASSPHRASE_HELP}

Examples
  ebbline serve
  ebbline serve --port 8080 --data /srv/ebbline
`;

export const serve: Command = {
  name: 'serve',
  summary: 'the program as a page in your browser',
  help,
  run: async (args, world) => {
    const given = readArguments(args, { port: 'one', host: 'one', data: 'one', 'passphrase-file': 'one' });
    noWords(given);
    const port = given.has('port') ? portValue(given.one('port')!) : null;
    const host = given.one('host') ?? '127.0.0.1';
    const dataDir = given.has('data') ? resolve(given.one('data')!) : defaultDataDir(world.env);
    const why = await whyNotServe({ host, port }, world.env);
    if (why !== null) throw new UsageError(why);
    const key = unlockRecord(dataDir, await unlocked(dataDir, given.one('passphrase-file'), world));
    for (const note of key.notes) world.err(`${note}\n`);

    const ending = new AbortController();
    const end = (): void => ending.abort();
    const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;
    for (const signal of SIGNALS) process.on(signal, end);
    try {
      const inOrder = await serveProgram(
        { host, port, dataDir, key, say: (line) => world.out(`${line}\n`), complain: (line) => world.err(`${line}\n`) },
        ending.signal,
      );
      return inOrder ? EXIT.done : EXIT.ownError;
    } finally {
      for (const signal of SIGNALS) process.off(signal, end);
    }
  },
};
