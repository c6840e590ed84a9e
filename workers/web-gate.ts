/**
 * The gate in front of the page: which requests go on, in whose name, and the three routes of its own: token, sign-in, sign-out.
 *
 * Where only this machine is served nobody signs in and the system's user is the one who acts; where others are, nothing is shown
 * before the password was given but the page that asks for it.
 */
import type { IncomingMessage, ServerResponse } from 'node:http';
import { hashPassword, isPassword, type PasswordHash } from '#lib/record/password.ts';
import type { RecordStore } from '#lib/record/types.ts';
import { ACTOR_HEADER, SIGNED_IN_HEADER, TOKEN_HEADER } from '#shared/request-headers.ts';
import { signInOnTheWayTo } from '#shared/way-in.ts';
import { makeChangeToken } from './change-token.ts';
import { makeSessions, type Session } from './sessions.ts';
import { makeSignInLimit } from './sign-in-limit.ts';
import { readSmallBody } from './small-body.ts';
import { systemUser } from './system-user.ts';
import { bodyRefusal } from './web-limits.ts';

export type GateOptions = Readonly<{
  /** Null where only this machine is served. */
  password: PasswordHash | null;
  /** Over TLS, so that the cookie never goes another way. */
  secure: boolean;
  record: () => RecordStore;
  clock?: () => number;
}>;

/** Handles what is its own or not allowed, and answers false; true when the request may go on, now with the headers of request-headers.ts. */
export type Gate = (request: IncomingMessage, response: ServerResponse) => Promise<boolean>;

const SAFE_METHODS = new Set(['GET', 'HEAD', 'OPTIONS']);
/** What is shown before anybody signed in: the page that asks, and what it is made of. */
const OPEN_PATH = /^\/(sign-in|icon\.svg|_next\/static\/[\w.~/-]+)$/;
/** Headers by which a framework can be told to take one address for another; only the server itself could mean them. */
const STRANGE_HEADER = /^x-(ebbline-(?!token$)|invoke-|matched-path|middleware-|now-|nextjs-|forwarded-)/;
const NOBODY: Session = { name: '', key: 'nobody' };
const LONGEST_NAME = 80;

export function makeGate({ password, secure, record, clock = () => performance.now() }: GateOptions): Gate {
  const sessions = makeSessions(clock);
  const limit = makeSignInLimit(clock);
  const tokens = makeChangeToken();
  const cookieName = secure ? '__Host-ebbline-session' : 'ebbline-session';
  const cookie = (value: string, more = ''): string =>
    `${cookieName}=${value}; Path=/; HttpOnly; SameSite=Strict${secure ? '; Secure' : ''}${more}`;
  const machine: Session = { name: systemUser(), key: 'machine' };
  const cookieOf = (request: IncomingMessage): string | null =>
    (request.headers.cookie ?? '')
      .split(/; */)
      .find((part) => part.startsWith(`${cookieName}=`))
      ?.slice(cookieName.length + 1) ?? null;
  const sessionOf = (request: IncomingMessage): Session | null => {
    if (!password) return machine;
    const token = cookieOf(request);
    return token ? sessions.find(token) : null;
  };

  const signIn = async (request: IncomingMessage, response: ServerResponse): Promise<void> => {
    if (!password) return say(response, 404, 'not-found', 'Nobody needs to sign in here: only this machine is served.');
    const given = await readSmallBody(request);
    const { name, password: word } = (given ?? {}) as { name?: unknown; password?: unknown };
    if (typeof name !== 'string' || typeof word !== 'string' || !isName(name))
      return say(response, 400, 'not-understood', `Give your name, of at most ${LONGEST_NAME} letters, and the password.`);
    const from = request.socket.remoteAddress ?? 'unknown';
    const wait = limit.begin(from);
    if (wait) {
      // Said once in a while, so that nobody can fill the audit from outside.
      if (wait.first) await note('sign-in-refused', NAMELESS, { from, tooMany: true });
      const minutes = Math.ceil(wait.waitMs / 60_000);
      return say(
        response,
        429,
        'too-many',
        'The password was wrong too often.',
        `Wait ${minutes} minute${minutes === 1 ? '' : 's'}, then try again.`,
      );
    }
    if (!(await oneByOne(() => isPassword(password, word)))) {
      await note('sign-in-refused', NAMELESS, { from });
      return say(response, 403, 'wrong-password', 'That is not the password.', 'Mind capital letters and the keyboard layout.');
    }
    limit.forgive(from);
    const old = cookieOf(request);
    if (old) sessions.end(old);
    const actor = name.trim();
    await note('sign-in', actor, { from });
    response.setHeader('Set-Cookie', cookie(sessions.open(actor)));
    json(response, 200, { signedIn: true });
  };

  // Each try takes tens of megabytes; many at once would take them together.
  let last: Promise<unknown> = Promise.resolve();
  const oneByOne = <T>(work: () => Promise<T>): Promise<T> => {
    const next = last.then(work, work);
    last = next.catch(() => undefined);
    return next;
  };
  const note = (action: 'sign-in' | 'sign-in-refused', actor: string, facts: Record<string, string | boolean>): Promise<void> =>
    record().casesAs(actor).note({ action, what: 'page', id: 'sign-in', case: null, facts });

  return async (request, response) => {
    const { headers, method = 'GET' } = request;
    for (const name of Object.keys(headers)) if (STRANGE_HEADER.test(name)) delete headers[name];
    const path = (request.url ?? '/').replace(/[?#].*$/s, '');
    const session = sessionOf(request);

    if (!SAFE_METHODS.has(method)) {
      const body = bodyRefusal(path, headers);
      if (body) return refuse(response, body.status, 'too-large', body.message);
      const given = headers[TOKEN_HEADER];
      if (!tokens.fits((session ?? NOBODY).key, typeof given === 'string' ? given : ''))
        return refuse(
          response,
          403,
          'token',
          'This page is from an earlier start of the program, or from another place.',
          'Reload the page and try again.',
        );
    }
    if (path === '/api/token' && method === 'GET') {
      json(response, 200, { token: tokens.of((session ?? NOBODY).key) });
      return false;
    }
    if (path === '/api/sign-in' && method === 'POST') {
      await signIn(request, response);
      return false;
    }
    if (path === '/api/sign-out' && method === 'POST') {
      const token = cookieOf(request);
      if (token) sessions.end(token);
      response.setHeader('Set-Cookie', cookie('', '; Max-Age=0'));
      json(response, 200, { signedIn: false });
      return false;
    }
    if (!session && !(SAFE_METHODS.has(method) && OPEN_PATH.test(path) && !path.includes('..'))) {
      if (path.startsWith('/api/'))
        return refuse(response, 401, 'sign-in', 'You are not signed in, or were away too long.', 'Sign in and try again.');
      response.writeHead(303, { Location: signInOnTheWayTo(path), 'Cache-Control': 'no-store' });
      response.end();
      return false;
    }
    if (password && session && path === '/sign-in') {
      response.writeHead(303, { Location: '/', 'Cache-Control': 'no-store' });
      response.end();
      return false;
    }
    if (session) headers[ACTOR_HEADER] = encodeURIComponent(session.name);
    headers[SIGNED_IN_HEADER] = password ? (session ? 'yes' : 'not-yet') : 'no';
    return true;
  };
}

/** Who tried is not known; what was given as a name may be a password in the wrong field. */
const NAMELESS = 'not signed in';

const isName = (name: string): boolean =>
  name.trim().length > 0 && name.trim().length <= LONGEST_NAME && !/\p{C}/u.test(name) && name.trim() !== NAMELESS;

/** The password of the environment as a hash, so that the word itself is kept nowhere. */
export const passwordOfEnvironment = async (word: string | undefined): Promise<PasswordHash | null> => (word ? hashPassword(word) : null);

function json(response: ServerResponse, status: number, data: unknown): void {
  response.writeHead(status, {
    'Content-Type': 'application/json; charset=utf-8',
    'Cache-Control': 'private, no-store',
    'Content-Security-Policy': "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
  });
  response.end(JSON.stringify(data));
}

const say = (response: ServerResponse, status: number, code: string, message: string, advice = ''): void =>
  json(response, status, { error: { code, message, advice } });

function refuse(response: ServerResponse, status: number, code: string, message: string, advice = ''): false {
  // The body that follows is not read; the connection ends with the answer.
  response.setHeader('Connection', 'close');
  say(response, status, code, message, advice);
  return false;
}
