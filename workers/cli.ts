/**
 * `ebbline`, the command line. It reads which command is meant, hands it the world, and turns its answer into an exit
 * code. Whatever goes wrong with the input is one sentence; only an error of the program's own shows more, and only
 * when EBBLINE_LOG=debug asks for it.
 */
import { fileURLToPath } from 'node:url';
import { VaultError } from '#lib/record/vault-error.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';
import { type Command, EXIT, type ExitCode, UsageError, type World } from './commands/command.ts';

/** Each command and the file it is in; loaded when it is called, so that help is instant. */
const COMMANDS: Readonly<Record<string, () => Promise<Command>>> = {
  compare: async () => (await import('./commands/compare.ts')).compare,
  check: async () => (await import('./commands/check.ts')).check,
  repeat: async () => (await import('./commands/repeat.ts')).repeat,
  exchange: async () => (await import('./commands/exchange.ts')).exchange,
  demo: async () => (await import('./commands/demo.ts')).demo,
  series: async () => (await import('./commands/series.ts')).series,
  work: async () => (await import('./commands/work.ts')).work,
  serve: async () => (await import('./commands/serve.ts')).serve,
  validate: async () => (await import('./commands/validate.ts')).validate,
  password: async () => (await import('./commands/password.ts')).password,
  audit: async () => (await import('./commands/audit.ts')).audit,
  vault: async () => (await import('./commands/vault.ts')).vault,
  backup: async () => (await import('./commands/backup.ts')).backup,
  restore: async () => (await import('./commands/restore.ts')).restore,
};

/** Runs one command line, without the program's name. */
export async function ebbline(args: readonly string[], world: World): Promise<ExitCode> {
  const [name, ...rest] = args;
  if (name === undefined || name === '--help' || name === '-h' || name === 'help') {
    const topic = name === 'help' ? rest[0] : undefined;
    if (topic !== undefined && Object.hasOwn(COMMANDS, topic)) world.out((await COMMANDS[topic]!()).help);
    else world.out(await overview());
    return name === undefined ? EXIT.usage : EXIT.done;
  }
  if (name === '--version' || name === '-v') {
    world.out(`${EBBLINE_VERSION}\n`);
    return EXIT.done;
  }
  if (!Object.hasOwn(COMMANDS, name)) {
    world.err(`There is no command "${name}". The commands are ${Object.keys(COMMANDS).join(', ')}; ebbline --help says more.\n`);
    return EXIT.usage;
  }
  try {
    const command = await COMMANDS[name]!();
    if (rest.includes('--help') || rest.includes('-h')) {
      world.out((await command.helpFor?.(rest)) ?? command.help);
      return EXIT.done;
    }
    return await command.run(rest, world);
  } catch (error) {
    if (error instanceof UsageError) {
      world.err(`${error.message}\nebbline ${name} --help says more.\n`);
      return EXIT.usage;
    }
    if (error instanceof VaultError) {
      world.err(`${error.message}\n`);
      return EXIT.unreadable;
    }
    const detail = error instanceof Error ? error : new Error(String(error));
    world.err(
      `Ebbline met an error of its own: ${detail.message}\n${world.env.EBBLINE_LOG === 'debug' ? `${detail.stack}\n` : 'EBBLINE_LOG=debug shows where.\n'}`,
    );
    return EXIT.ownError;
  }
}

async function overview(): Promise<string> {
  const commands = await Promise.all(Object.values(COMMANDS).map((load) => load()));
  const width = Math.max(...commands.map(({ name }) => name.length));
  return `Ebbline ${EBBLINE_VERSION} - measures what changed between photographs of one face, with its error

  ebbline COMMAND [options]

${commands.map(({ name, summary }) => `  ${name.padEnd(width)}   ${summary}`).join('\n')}

  ebbline COMMAND --help    options and examples
  ebbline --version

An aid to documentation; not a diagnosis and not a medical device. Photographs never leave this machine.
`;
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  // A reader that has seen enough (`| head`) is no error.
  for (const stream of [process.stdout, process.stderr]) stream.on('error', () => undefined);
  const exit = await ebbline(process.argv.slice(2), {
    out: (text) => void process.stdout.write(text),
    err: (text) => void process.stderr.write(text),
    terminal: process.stderr.isTTY === true && process.env.TERM !== 'dumb',
    // Some terminals claim a width of 0.
    columns: process.stderr.columns || 80,
    env: process.env,
    ...(process.stdin.isTTY ? { ask: async (prompt: string) => (await import('./ask-hidden.ts')).askHidden(prompt) } : {}),
    measuring: async () => (await import('./measuring.ts')).loadMeasuring(),
  });
  // The landmark engine keeps the process alive; what was written to a pipe must be out before it is ended.
  await Promise.all([process.stdout, process.stderr].map((stream) => new Promise<void>((resolve) => stream.write('', () => resolve()))));
  process.exit(exit);
}
