/**
 * The page's server: Next behind a guard, bound to loopback, as a process of its own (`serve.ts` starts it).
 *
 * A strict content policy needs a new nonce for every answer, and Next reads it from the request's own policy
 * header. Setting both headers here keeps the policy free of 'unsafe-inline' without another file at the top level.
 *
 * Run as   node workers/web.ts --port 4173 [--host 127.0.0.1] [--dev]
 *          and for other machines [--sign-in] [--name NAME]... [--tls-cert FILE --tls-key FILE]
 * When it listens it prints `listening PORT`, and sends { listening: port } to a parent that forked it.
 */
import { randomBytes } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import { createServer as createSecureServer } from 'node:https';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { defaultDataDir } from '#lib/record/data-dir.ts';
import { sharedRecord, shareKey } from '#lib/record/open.ts';
import { type PasswordHash, storedPassword } from '#lib/record/password.ts';
import { unlockRecord } from '#lib/record/unlock.ts';
import { passphraseIn } from './commands/unlock.ts';
import { KEY_COMES, receiveKey } from './key-from-parent.ts';
import { makeGate, passwordOfEnvironment } from './web-gate.ts';
import { contentPolicy, PLAIN_HEADERS, refusal } from './web-guard.ts';

process.env.NEXT_TELEMETRY_DISABLED = '1';

export type WebOptions = Readonly<{
  /** 0 lets the system choose. */
  port: number;
  host?: string;
  /** Names and addresses, beside loopback's, under which other machines reach it. */
  names?: readonly string[];
  /** Null where only this machine is served; else nobody gets in without it. */
  password?: PasswordHash | null;
  /** Certificate and key, PEM. */
  tls?: Readonly<{ cert: string | Uint8Array; key: string | Uint8Array }> | null;
  /** Compiles pages as they are asked for. */
  dev?: boolean;
}>;

/** Starts the server; resolves when it listens. Rejects with the system's error when the port is taken (`EADDRINUSE`). */
export async function startWeb({
  port,
  host = '127.0.0.1',
  names = [],
  password = null,
  tls = null,
  dev = false,
}: WebOptions): Promise<{ server: Server; port: number }> {
  Object.assign(process.env, { NODE_ENV: dev ? 'development' : 'production' });
  const { default: next } = await import('next');
  const server: Server = tls ? createSecureServer({ cert: Buffer.from(tls.cert), key: Buffer.from(tls.key) }) : createServer();
  await new Promise<void>((resolve, reject) => {
    server.once('error', reject);
    server.listen(port, host, () => resolve());
  });
  const address = server.address();
  const bound = typeof address === 'object' && address ? address.port : port;

  const dir = fileURLToPath(new URL('..', import.meta.url));
  // Next is a CommonJS package: its default export arrives as a function under Node, whatever its types say.
  const app = (next as unknown as typeof import('next').default)({ dev, dir, hostname: host, port: bound, httpServer: server });
  const ready = app.prepare();
  const handle = app.getRequestHandler();
  const gate = makeGate({ password, secure: tls !== null, record: sharedRecord });
  const answer = async (request: IncomingMessage, response: ServerResponse): Promise<void> => {
    if (!(isOfOurs(request, response, [host, ...names]) && (await gate(request, response)))) return;
    setPolicy(request, response, dev);
    await ready;
    await handle(request, response);
  };
  server.on('request', (request, response) => {
    answer(request, response).catch(() => response.writableEnded || response.destroy());
  });
  // The page opens no socket; only the development server does.
  if (!dev) server.on('upgrade', (_, socket) => socket.destroy());
  await ready;
  return { server, port: bound };
}

/** Sets the headers that every answer has, and refuses what comes from elsewhere. */
function isOfOurs(request: IncomingMessage, response: ServerResponse, names: readonly string[]): boolean {
  for (const [name, value] of Object.entries(PLAIN_HEADERS)) response.setHeader(name, value);
  const { headers, method = 'GET' } = request;
  const fetchSite = headers['sec-fetch-site'];
  const no = refusal(
    { method, host: headers.host, origin: headers.origin, fetchSite: typeof fetchSite === 'string' ? fetchSite : undefined },
    names,
  );
  if (no === null) return true;
  response.writeHead(403, { 'Content-Type': 'application/json; charset=utf-8' });
  response.end(JSON.stringify({ error: { code: 'refused', message: no, advice: '' } }));
  return false;
}

function setPolicy({ headers, url }: IncomingMessage, response: ServerResponse, dev: boolean): void {
  // Routes carry a policy of their own, without scripts, which one set here would hold back.
  if (url?.startsWith('/api/')) return;
  const policy = contentPolicy(randomBytes(18).toString('base64'), dev);
  headers['content-security-policy'] = policy;
  response.setHeader('Content-Security-Policy', policy);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const { values } = parseArgs({
    options: {
      port: { type: 'string', default: '4173' },
      host: { type: 'string', default: '127.0.0.1' },
      dev: { type: 'boolean', default: false },
      'sign-in': { type: 'boolean', default: false },
      name: { type: 'string', multiple: true, default: [] },
      'tls-cert': { type: 'string' },
      'tls-key': { type: 'string' },
      [KEY_COMES.slice(2)]: { type: 'boolean', default: false },
    },
  });
  try {
    const file = process.env.EBBLINE_PASSPHRASE_FILE;
    if (values[KEY_COMES.slice(2)]) shareKey(await receiveKey());
    else if (file) shareKey(unlockRecord(defaultDataDir(), { passphrase: await passphraseIn(file) }).key);
    const password = values['sign-in']
      ? ((await passwordOfEnvironment(process.env.EBBLINE_PASSWORD)) ?? storedPassword(defaultDataDir()))
      : null;
    // Nothing below needs the word itself.
    delete process.env.EBBLINE_PASSWORD;
    if (values['sign-in'] && !password) throw new Error('There is no password to ask for.');
    const [cert, key] = [values['tls-cert'], values['tls-key']];
    const tls = cert && key ? { cert: readFileSync(cert), key: readFileSync(key) } : null;
    const { server, port } = await startWeb({
      port: Number(values.port),
      host: values.host,
      names: values.name,
      password,
      tls,
      dev: values.dev,
    });
    console.log(`listening ${port}`);
    process.send?.({ listening: port });
    const stop = () => {
      server.close(() => process.exit(0));
      server.closeAllConnections();
    };
    process.once('SIGTERM', stop);
    process.once('SIGINT', stop);
    // A parent that was killed outright cannot say so; its end closes the channel.
    process.once('disconnect', stop);
    // The parent is gone without a word.
    process.once('disconnect', stop);
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code ?? 'unknown';
    process.send?.({ failed: code });
    console.error(
      code === 'EADDRINUSE' ? `Port ${values.port} is already in use.` : `The page could not be started: ${(error as Error).message}`,
    );
    process.exit(1);
  }
}
