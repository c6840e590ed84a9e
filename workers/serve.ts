/**
 * Serves the program on this machine: the page and the job runner as two child processes, and the demo case prepared.
 * Both end with this process; a runner that dies is started again, a page's server that dies ends the program.
 */
import { type ChildProcess, fork } from 'node:child_process';
import { once } from 'node:events';
import { existsSync } from 'node:fs';
import { createServer } from 'node:net';
import { fileURLToPath } from 'node:url';
import { openRecord } from '#lib/record/open.ts';
import { protectionSentence } from '#lib/record/protection-words.ts';
import type { Unlocked } from '#lib/record/unlock.ts';
import { KEY_COMES, sendKey } from './key-from-parent.ts';
import { prepareDemo } from './prepare-demo.ts';
import { type Others, ownNames, whyNotOthers } from './serving-others.ts';

export type ServeOptions = Readonly<{
  host: string;
  /** Null takes the first free one from USUAL_PORT on. */
  port: number | null;
  dataDir: string;
  /** Unlocked once, and handed to the page and the runner. */
  key: Pick<Unlocked, 'key' | 'protection'>;
  others: Others;
  /** Asks for the password on this machine too, whose other users can reach loopback as well. */
  signIn: boolean;
  say: (line: string) => void;
  complain: (line: string) => void;
}>;

export const USUAL_PORT = 4173;
const PORTS_TRIED = 20;
/** Time the children get to end by themselves. */
const GRACE_MS = 5_000;
/** A runner that dies this often within a minute is not started again: something is broken for good. */
const MOST_RESTARTS = 5;

const HERE = new URL('.', import.meta.url);
const ROOT = fileURLToPath(new URL('..', import.meta.url));

/** Null, or the sentence that says what stands in the way of serving. */
export async function whyNotServe(
  { host, port, dataDir, others, signIn }: Pick<ServeOptions, 'host' | 'port' | 'dataDir' | 'others' | 'signIn'>,
  env: Readonly<Record<string, string | undefined>>,
): Promise<string | null> {
  const why = isLoopback(host) ? whyNotAlone(dataDir, others, signIn, env) : whyNotOthers(host, dataDir, others, env);
  if (why !== null) return why;
  if (port !== null && !(await isFree(host, port)))
    return `Port ${port} is in use by another program. Name another one, or leave --port away to have a free one taken.`;
  if (!existsSync(new URL('../.next/BUILD_ID', import.meta.url)))
    return 'The page has not been built yet. "npm start" in the folder of the program builds and serves it.';
  return null;
}

export const isLoopback = (host: string): boolean => host === 'localhost' || host === '::1' || /^127(?:\.\d{1,3}){3}$/.test(host);

/** On this machine alone there is nobody to be called by another name, and nothing goes over a network. */
function whyNotAlone(dataDir: string, others: Others, signIn: boolean, env: Readonly<Record<string, string | undefined>>): string | null {
  if (others.tlsCert !== null || others.tlsKey !== null || others.plainHttp || others.names.length > 0)
    return '--tls-cert, --tls-key, --plain-http and --name belong to serving other machines. Name an address with --host.';
  // The same rules about the password; the rest does not apply here.
  return signIn ? whyNotOthers('this machine', dataDir, { ...others, plainHttp: true }, env) : null;
}

/** Serves until `ending` aborts. True when it ended in order. */
export async function serve(
  { host, port, dataDir, key, others, signIn, say, complain }: ServeOptions,
  ending: AbortSignal,
): Promise<boolean> {
  const chosen = port ?? (await freePort(host));
  if (chosen === null) {
    complain(`No port from ${USUAL_PORT} to ${USUAL_PORT + PORTS_TRIED - 1} is free. Name one with --port.`);
    return false;
  }
  const env = { ...process.env, EBBLINE_HOME: dataDir, NEXT_TELEMETRY_DISABLED: '1' };
  // The password is for the page's server, and for nobody else.
  const runnerEnv = { ...env, EBBLINE_PASSWORD: undefined };
  const start = (file: string, args: readonly string[]): ChildProcess => {
    const child = fork(fileURLToPath(new URL(file, HERE)), [...args, KEY_COMES], {
      cwd: ROOT,
      env: file === 'web.ts' ? env : runnerEnv,
      execArgv: [],
      stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
    });
    sendKey(child, key.key);
    return child;
  };
  // Opened first, so that an older record is sealed before anyone asks for it.
  const record = openRecord({ dataDir, key: key.key });

  const alone = isLoopback(host);
  const names = alone ? [] : ownNames(host, others.names);
  const web = start('web.ts', ['--port', String(chosen), '--host', host, ...webArguments(others, names, signIn || !alone)]);
  const webEnd = once(web, 'exit');
  const runner = keepAlive(() => start('runner.ts', ['--data', dataDir]), complain, ending);
  const listening = await Promise.race([
    once(web, 'message').then(([message]) => message as { listening?: number; failed?: string }),
    webEnd.then(() => ({ failed: 'ended' })),
  ]);
  if (!('listening' in listening) || ending.aborted) {
    await record.close();
    await Promise.all([runner.end(), endOf(web)]);
    if (!ending.aborted) complain('The page could not be started; see above.');
    return ending.aborted;
  }

  const at = (name: string): string =>
    `${others.tlsCert === null ? 'http://' : 'https://'}${name.includes(':') ? `[${name}]` : name}:${listening.listening}`;
  const address = at(alone ? host : names[0]!);
  say(`Ebbline is at ${address}`);
  for (const name of names.slice(1)) say(`  also ${at(name)}`);
  if (!alone && others.tlsCert === null)
    complain('It is not encrypted: whoever can listen on the network can read photographs and the password.');
  const demo = await prepareDemo(record).catch((error) => {
    complain(`The demo case could not be prepared: ${error instanceof Error ? error.message : error}`);
    return null;
  });
  await record.close();
  if (demo) say(`Demo case ${address}/comparison/${demo}`);
  say(`Photographs and results are kept in ${dataDir}`);
  say(protectionSentence(key.protection));
  say('Ctrl-C ends it.');

  const aborted = new Promise<'ending'>((resolve) => {
    if (ending.aborted) resolve('ending');
    else ending.addEventListener('abort', () => resolve('ending'), { once: true });
  });
  const why = await Promise.race([aborted, webEnd.then(() => 'web' as const)]);
  if (why === 'web' && !ending.aborted) complain("The page's server ended by itself, so the program ends too.");
  await Promise.all([runner.end(), endOf(web)]);
  return ending.aborted;
}

const webArguments = ({ tlsCert, tlsKey }: Others, names: readonly string[], signIn: boolean): string[] => [
  ...(signIn ? ['--sign-in'] : []),
  ...names.flatMap((name) => ['--name', name]),
  ...(tlsCert !== null && tlsKey !== null ? ['--tls-cert', tlsCert, '--tls-key', tlsKey] : []),
];

/** Starts a child again whenever it dies by itself. */
function keepAlive(start: () => ChildProcess, complain: (line: string) => void, ending: AbortSignal): { end: () => Promise<void> } {
  let over = false;
  let child = start();
  const deaths: number[] = [];
  const watch = (one: ChildProcess): void => {
    one.once('exit', () => {
      if (over || ending.aborted) return;
      const now = performance.now();
      deaths.push(now);
      if (deaths.filter((at) => now - at < 60_000).length > MOST_RESTARTS) {
        complain('The job runner ended again and again; nothing can be measured until the program is started anew.');
        return;
      }
      complain('The job runner ended by itself and is started again.');
      child = start();
      watch(child);
    });
  };
  watch(child);
  return {
    end: () => {
      over = true;
      return endOf(child);
    },
  };
}

async function endOf(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return;
  const exit = once(child, 'exit');
  child.kill('SIGTERM');
  const timer = setTimeout(() => child.kill('SIGKILL'), GRACE_MS);
  await exit;
  clearTimeout(timer);
}

async function freePort(host: string): Promise<number | null> {
  for (let port = USUAL_PORT; port < USUAL_PORT + PORTS_TRIED; port++) if (await isFree(host, port)) return port;
  return null;
}

async function isFree(host: string, port: number): Promise<boolean> {
  const probe = createServer();
  return new Promise((resolve) => {
    probe.once('error', () => resolve(false));
    probe.listen(port, host, () => probe.close(() => resolve(true)));
  });
}
