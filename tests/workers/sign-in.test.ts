/** Signing in, without a page behind it: sessions, the limit of tries, the token for changes, the password's hash, and the gate as a whole. */
import { once } from 'node:events';
import { createServer, request as httpRequest } from 'node:http';
import { describe, expect, it } from 'vitest';
import { openRecord } from '#lib/record/open.ts';
import {
  hashPassword,
  isPassword,
  type PasswordHash,
  removePassword,
  storedPassword,
  storePassword,
  whyNotPassword,
} from '#lib/record/password.ts';
import type { RecordStore } from '#lib/record/types.ts';
import { ACTOR_HEADER, SIGNED_IN_HEADER, TOKEN_HEADER } from '#shared/request-headers.ts';
import { withDir } from '#tests/record/sample-jobs.ts';
import { makeChangeToken } from '#workers/change-token.ts';
import { IDLE_MS, LONGEST_MS, makeSessions } from '#workers/sessions.ts';
import { MOST_FROM_ALL, MOST_FROM_ONE, makeSignInLimit, WINDOW_MS } from '#workers/sign-in-limit.ts';
import { makeGate } from '#workers/web-gate.ts';

const WORD = 'seven lanterns by the quay';
/** The weakest that the bounds let through, so that the tests are quick. */
const quick = (word = WORD): Promise<PasswordHash> =>
  hashPassword(word, { memoryKiB: 19_456, passes: 2, lanes: 1, salt: Buffer.alloc(16, 5).toString('base64') });

describe('law: the password', () => {
  it('is known again from its hash alone, however its letters were composed, and no other is', async () => {
    const hash = await quick('zoë keeps five geese');
    expect(JSON.stringify(hash)).not.toContain('geese');
    expect(await isPassword(hash, 'zoe\u0308 keeps five geese')).toBe(true);
    for (const other of ['', 'zoe keeps five geese', 'zoë keeps five geese ', 'x'.repeat(5_000)])
      expect(await isPassword(hash, other)).toBe(false);
  });
  it('has a salt of its own each time', async () => {
    const [one, two] = [await hashPassword(WORD), await hashPassword(WORD)];
    expect(one.hash).not.toBe(two.hash);
    expect(one.argon2id.memoryKiB).toBeGreaterThanOrEqual(19_456); // OWASP's least
  });
  it('is kept and taken away; a file that was changed is said to be', () =>
    withDir(async (dir) => {
      expect(storedPassword(dir)).toBeNull();
      const hash = await quick();
      storePassword(dir, hash);
      expect(storedPassword(dir)).toEqual(hash);
      storePassword(dir, { ...hash, argon2id: { ...hash.argon2id, memoryKiB: 8 } });
      expect(() => storedPassword(dir)).toThrow(/Set the password again/);
      removePassword(dir);
      expect(storedPassword(dir)).toBeNull();
    }));
  it('is long and not one letter', () => {
    expect(whyNotPassword(WORD)).toBeNull();
    for (const weak of ['short', 'aaaaaaaaaaaaaaaa', 'x'.repeat(2_000)]) expect(whyNotPassword(weak)).toMatch(/\.$/);
  });
});

describe('law: sessions', () => {
  it('last while they are used, end when left alone, and end in any case', () => {
    let now = 0;
    const sessions = makeSessions(() => now);
    const [busy, idle] = [sessions.open('Ada'), sessions.open('Bo')];
    expect(busy).toMatch(/^[\w-]{43}$/);
    expect(sessions.find(idle)?.name).toBe('Bo');
    for (; now <= LONGEST_MS; now += IDLE_MS / 2) expect(sessions.find(busy)?.name).toBe('Ada');
    expect(sessions.find(busy)).toBeNull();
    expect(sessions.find(idle)).toBeNull();
    expect(sessions.find('A'.repeat(43))).toBeNull();
  });
  it('end when they are ended, and the oldest when there are too many', () => {
    const sessions = makeSessions(() => 0);
    const first = sessions.open('first');
    const ended = sessions.open('ended');
    sessions.end(ended);
    expect(sessions.find(ended)).toBeNull();
    for (let i = 0; i < 200; i++) sessions.open(String(i));
    expect(sessions.find(first)).toBeNull();
  });
});

describe('law: the limit of tries', () => {
  it('holds one address and all together, forgives the right one, and lets in again when the window has passed', () => {
    let now = 0;
    const limit = makeSignInLimit(() => now);
    const tries = (address: string, n: number) => Array.from({ length: n }, () => limit.begin(address));
    expect(tries('a', MOST_FROM_ONE).filter(Boolean)).toEqual([]);
    now = 60_000;
    expect(limit.begin('a')).toEqual({ waitMs: WINDOW_MS - 60_000, first: true });
    expect(limit.begin('a')).toMatchObject({ first: false });
    expect(limit.begin('b')).toBeNull();
    limit.forgive('a');
    expect(limit.begin('a')).toBeNull();
    for (let i = 0; i < MOST_FROM_ALL; i++) limit.begin(`other ${i}`);
    expect(limit.begin('late')).not.toBeNull();
    now += WINDOW_MS;
    expect(limit.begin('late')).toBeNull();
  });
});

describe('law: the token for changes', () => {
  it('fits its own session and start only', () => {
    const [one, other] = [makeChangeToken(), makeChangeToken()];
    expect(one.fits('ada', one.of('ada'))).toBe(true);
    for (const wrong of [one.of('bo'), other.of('ada'), '', `${one.of('ada')}AAAA`, one.of('ada').slice(1)])
      expect(one.fits('ada', wrong)).toBe(false);
  });
});

type Door = Readonly<{
  record: RecordStore;
  at: (ms: number) => void;
  ask: (
    path: string,
    how?: { method?: string; body?: unknown; cookie?: string; headers?: Record<string, string> },
  ) => Promise<{
    status: number;
    /** Where it went on: the headers that the page would see; null when the gate answered. */
    behind: Record<string, string> | null;
    code: string | null;
    cookie: string | null;
    location: string | null;
  }>;
}>;

/** A gate with nothing behind it but an echo of the request's headers. */
async function withGate(password: PasswordHash | null, work: (door: Door) => Promise<void>, secure = false): Promise<void> {
  await withDir(async (dataDir) => {
    const record = openRecord({ dataDir });
    let now = 0;
    const gate = makeGate({ password, secure, record: () => record, clock: () => now });
    const server = createServer((request, response) => {
      void gate(request, response).then((on) => on && response.end(JSON.stringify({ behind: request.headers })));
    }).listen(0, '127.0.0.1');
    await once(server, 'listening');
    const { port } = server.address() as { port: number };
    const plain = (path: string, method: string, headers: Record<string, string>, body?: string) =>
      new Promise<{ status: number; headers: Record<string, string | string[] | undefined>; body: string }>((resolve, reject) => {
        const asked = httpRequest({ agent: false, port, path, method, headers }, (response) => {
          let text = '';
          response.setEncoding('utf8').on('data', (chunk) => {
            text += chunk;
          });
          response.on('end', () => resolve({ status: response.statusCode!, headers: response.headers, body: text }));
        });
        asked.on('error', reject);
        asked.end(body);
      });
    const ask: Door['ask'] = async (path, { method = 'GET', body, cookie, headers = {} } = {}) => {
      const sent: Record<string, string> = { ...(cookie ? { Cookie: `other=1; ${cookie}` } : {}), ...headers };
      if (method !== 'GET' && !(TOKEN_HEADER in sent)) sent[TOKEN_HEADER] = JSON.parse((await plain('/api/token', 'GET', sent)).body).token;
      const answer = await plain(path, method, sent, body === undefined ? undefined : JSON.stringify(body));
      const data = answer.body === '' ? {} : JSON.parse(answer.body);
      return {
        status: answer.status,
        behind: data.behind ?? null,
        code: data.error?.code ?? null,
        cookie: answer.headers['set-cookie']?.[0] ?? null,
        location: (answer.headers.location as string | undefined) ?? null,
      };
    };
    try {
      await work({
        record,
        ask,
        at: (ms) => {
          now = ms;
        },
      });
    } finally {
      server.close();
      server.closeAllConnections();
      await record.close();
    }
  });
}

const bare = (cookie: string | null): string => cookie!.split(';')[0]!;

describe('law: the gate', () => {
  it('where nobody signs in, everything goes on in the name of the system’s user, whatever the browser says', () =>
    withGate(null, async ({ ask }) => {
      const { behind } = await ask('/cases', {
        headers: { [ACTOR_HEADER]: 'Mallory', 'X-Invoke-Path': '/secret', 'X-Forwarded-Host': 'x' },
      });
      expect(behind?.[ACTOR_HEADER]).not.toBe('Mallory');
      expect(behind?.[ACTOR_HEADER]).toBeTruthy();
      expect(Object.keys(behind!).filter((name) => /invoke|forwarded/.test(name))).toEqual([]);
      expect(behind?.[SIGNED_IN_HEADER]).toBe('no');
      expect((await ask('/api/sign-in', { method: 'POST', body: { name: 'Ada', password: WORD } })).status).toBe(404);
    }));
  it('nothing is shown before the password was given, and everything after, in the name that was given', async () =>
    withGate(await quick(), async ({ ask, record }) => {
      expect(await ask('/cases?x=1')).toMatchObject({ status: 303, location: '/sign-in?to=%2Fcases', behind: null });
      for (const path of ['/', '/casesx', '/sign-in/x', '/_next/static/../../cases', '/_next/image', '//sign-in', '/%73ign-in'])
        expect(await ask(path)).toMatchObject({ status: 303, location: '/sign-in', behind: null });
      for (const path of ['/api/photos/x', '/api/jobs/events?ids=1', '/api/tokens'])
        expect(await ask(path)).toMatchObject({ status: 401, code: 'sign-in' });
      for (const path of ['/sign-in', '/icon.svg', '/_next/static/chunks/a-b_c.js'])
        expect((await ask(path)).behind).toMatchObject({ [SIGNED_IN_HEADER]: 'not-yet' });
      expect((await ask('/sign-in', { method: 'POST', body: {} })).behind).toBeNull();

      const done = await ask('/api/sign-in', { method: 'POST', body: { name: ' Zoë Ä ', password: WORD } });
      expect(done).toMatchObject({ status: 200 });
      expect(done.cookie).toMatch(/^ebbline-session=[\w-]{43}; Path=\/; HttpOnly; SameSite=Strict$/);
      const cookie = bare(done.cookie);
      const { behind } = await ask('/cases', { cookie });
      expect(decodeURIComponent(behind![ACTOR_HEADER]!)).toBe('Zoë Ä');
      expect(behind![SIGNED_IN_HEADER]).toBe('yes');
      expect(await ask('/sign-in', { cookie })).toMatchObject({ status: 303, location: '/' });
      expect((await ask('/api/jobs', { method: 'POST', body: {}, cookie })).behind).not.toBeNull();
      expect((await record.audit.lines()).map(({ actor, action, facts }) => [actor, action, facts])).toEqual([
        ['Zoë Ä', 'sign-in', { from: '127.0.0.1' }],
      ]);

      expect((await ask('/api/sign-out', { method: 'POST', cookie })).cookie).toMatch(/^ebbline-session=; .*Max-Age=0$/);
      expect((await ask('/cases', { cookie })).status).toBe(303);
    }));
  it('over TLS the cookie stays with it', async () =>
    withGate(
      await quick(),
      async ({ ask }) => {
        const { cookie } = await ask('/api/sign-in', { method: 'POST', body: { name: 'Ada', password: WORD } });
        expect(cookie).toMatch(/^__Host-ebbline-session=[\w-]{43}; Path=\/; HttpOnly; SameSite=Strict; Secure$/);
        expect((await ask('/cases', { cookie: bare(cookie) })).behind).not.toBeNull();
      },
      true,
    ));
  it('a session that was left alone is over', async () =>
    withGate(await quick(), async ({ ask, at }) => {
      const cookie = bare((await ask('/api/sign-in', { method: 'POST', body: { name: 'Ada', password: WORD } })).cookie);
      at(IDLE_MS);
      expect((await ask('/cases', { cookie })).behind).not.toBeNull();
      at(2 * IDLE_MS + 1);
      expect((await ask('/cases', { cookie })).status).toBe(303);
    }));
});

describe('refusal: the gate', () => {
  it('a wrong password, and then any, until the window has passed; the audit is not flooded', async () =>
    withGate(await quick(), async ({ ask, at, record }) => {
      const attempt = (password: string) => ask('/api/sign-in', { method: 'POST', body: { name: 'Ada', password } });
      const many = await Promise.all(Array.from({ length: MOST_FROM_ONE + 5 }, () => attempt('not the password')));
      expect(many.filter(({ code }) => code === 'wrong-password')).toHaveLength(MOST_FROM_ONE);
      expect(many.filter(({ code, status }) => code === 'too-many' && status === 429)).toHaveLength(5);
      expect((await attempt(WORD)).code).toBe('too-many');
      const lines = await record.audit.lines();
      expect(lines).toHaveLength(MOST_FROM_ONE + 1);
      expect(lines.filter(({ actor, action }) => actor !== 'not signed in' || action !== 'sign-in-refused')).toEqual([]);
      at(WINDOW_MS);
      expect((await attempt(WORD)).status).toBe(200);
    }));
  it('a sign-in that is not one', async () =>
    withGate(await quick(), async ({ ask }) => {
      for (const body of [
        null,
        [],
        {},
        { name: 'Ada' },
        { name: '', password: WORD },
        { name: 'a\u0000b', password: WORD },
        { name: 'x'.repeat(81), password: WORD },
        { name: 'A', password: 7 },
      ])
        expect(await ask('/api/sign-in', { method: 'POST', body })).toMatchObject({ status: 400, code: 'not-understood', cookie: null });
      expect((await ask('/api/sign-in', { method: 'POST', body: { name: 'A', password: 'x'.repeat(20_000) } })).status).toBe(400);
    }));
  it('a change without the session’s own token', async () =>
    withGate(await quick(), async ({ ask }) => {
      const nobodys = { [TOKEN_HEADER]: '' };
      expect(await ask('/api/sign-in', { method: 'POST', body: { name: 'Ada', password: WORD }, headers: nobodys })).toMatchObject({
        status: 403,
        code: 'token',
      });
      const cookie = bare((await ask('/api/sign-in', { method: 'POST', body: { name: 'Ada', password: WORD } })).cookie);
      for (const method of ['POST', 'PUT', 'PATCH', 'DELETE'])
        expect(await ask('/api/jobs', { method, cookie, headers: nobodys })).toMatchObject({ status: 403, code: 'token' });
    }));
  it('more than a request may hold, or an unknown amount', () =>
    withGate(null, async ({ ask }) => {
      expect(await ask('/api/jobs', { method: 'POST', body: 'x'.repeat(1_000_001) })).toMatchObject({ status: 413 });
      expect(await ask('/api/jobs', { method: 'POST', headers: { 'Transfer-Encoding': 'chunked' } })).toMatchObject({ status: 411 });
      expect((await ask('/api/photos?name=a.jpg', { method: 'POST', headers: { 'Transfer-Encoding': 'chunked' } })).behind).not.toBeNull();
      expect(await ask('/api/photos/x', { method: 'POST', headers: { 'Transfer-Encoding': 'chunked' } })).toMatchObject({ status: 411 });
    }));
});
