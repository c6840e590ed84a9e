/** The page's server as a stranger meets it: headers, other sites' requests, odd names, bodies too large, and what is never served. */
import { globSync, statSync } from 'node:fs';
import { request as httpRequest } from 'node:http';
import { userInfo } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { TOKEN_HEADER } from '#shared/request-headers.ts';
import { MOST_UPLOAD_BYTES } from '#shared/upload.ts';
import { type App, faceFile, measured, openApp, tokenOf } from './harness.ts';

let app: App;
let id: string;
beforeAll(async () => {
  app = await openApp();
  id = await measured(app, 'Door');
});
afterAll(() => app?.close());

/**
 * A request as it is, path and headers unchanged; `fetch` would tidy them. On a connection of its own: one over which too much was sent is
 * closed by the server, and must not be met again by the next request. A change carries the token unless `headers` has another.
 */
async function raw(
  path: string,
  { method = 'GET', headers = {}, body }: { method?: string; headers?: Record<string, string>; body?: Buffer } = {},
): Promise<{ status: number; headers: Record<string, unknown>; body: string }> {
  const { hostname, port } = new URL(app.base);
  const sent = method === 'GET' || TOKEN_HEADER in headers ? headers : { ...headers, [TOKEN_HEADER]: await tokenOf(app.base) };
  return new Promise((resolve, reject) => {
    const asked = httpRequest({ agent: false, hostname, port, path, method, headers: sent }, (response) => {
      const chunks: Buffer[] = [];
      response.on('data', (chunk: Buffer) => chunks.push(chunk));
      response.on('end', () =>
        resolve({ status: response.statusCode!, headers: response.headers, body: Buffer.concat(chunks).toString('utf8') }),
      );
    });
    asked.on('error', reject);
    asked.end(body);
  });
}

describe('law', () => {
  it('every page carries a strict policy with a new nonce, and every inline script has it', async () => {
    const nonces = new Set<string>();
    for (const path of ['/', '/about', `/comparison/${id}`, '/nowhere']) {
      const { headers, body } = await raw(path);
      const policy = String(headers['content-security-policy']);
      expect(policy).not.toMatch(/unsafe|https?:|\*/);
      const nonce = /script-src 'nonce-([^']+)'/.exec(policy)?.[1];
      expect(nonce).toBeTruthy();
      nonces.add(nonce!);
      const scripts = [...body.matchAll(/<script\b([^>]*)>/g)].map((match) => match[1]!);
      expect(scripts.length).toBeGreaterThan(0);
      expect(scripts.filter((attributes) => !attributes.includes(`nonce="${nonce}"`))).toEqual([]);
      expect(body).not.toMatch(/\sstyle="/);
      expect(body).not.toMatch(/(?:src|href|action)="(?:https?:)?\/\//);
      expect(headers['x-powered-by']).toBeUndefined();
      expect(headers['referrer-policy']).toBe('no-referrer');
      expect(String(headers['cache-control'])).toMatch(/no-store/);
    }
    expect(nonces.size).toBe(4);
  });

  it('pictures, fields and results are kept by no cache and have the right types', async () => {
    const expected = {
      [`/api/comparisons/${id}/files/frontal.before.jpg`]: 'image/jpeg',
      [`/api/comparisons/${id}/files/frontal.change-map.png`]: 'image/png',
      [`/api/comparisons/${id}/files/frontal.plate.json`]: 'application/json',
      [`/api/comparisons/${id}/files/frontal.displacement.i16.gz`]: 'application/octet-stream',
      [`/api/comparisons/${id}/files/table.csv`]: 'text/csv; charset=utf-8',
      [`/api/comparisons/${id}/files/report.html`]: 'text/html; charset=utf-8',
      [`/api/comparisons/${id}/comparison.json`]: 'application/json; charset=utf-8',
    };
    for (const [path, type] of Object.entries(expected)) {
      const { status, headers } = await raw(path);
      expect([path, status, headers['content-type'], headers['cache-control']]).toEqual([path, 200, type, 'private, no-store']);
      expect(headers['x-content-type-options']).toBe('nosniff');
      expect(String(headers['content-security-policy'])).toMatch(/default-src 'none'/);
    }
    expect(JSON.parse((await raw(`/api/comparisons/${id}/comparison.json`)).body).schema).toBe('ebbline.comparison/1');
  });

  it('the same photograph sent twice is one photograph', async () => {
    const { buffer } = await faceFile('twice.jpg', 0.33);
    const first = JSON.parse((await raw('/api/photos?name=twice.jpg', { method: 'POST', body: buffer })).body);
    const second = JSON.parse((await raw('/api/photos?name=again.jpg', { method: 'POST', body: buffer })).body);
    expect(first.photo.sha256).toMatch(/^[0-9a-f]{64}$/);
    expect(second.photo.sha256).toBe(first.photo.sha256);
    expect(Buffer.from((await app.record.photoBytes(first.photo.sha256))!).equals(buffer)).toBe(true);
  });

  it('news of jobs come as events until they are over', async () => {
    const { body, headers } = await raw(`/api/jobs/events?ids=${id}`);
    expect(headers['content-type']).toBe('text/event-stream; charset=utf-8');
    expect(body).toMatch(/^data: \{.*"state":"done".*\}\n\nevent: over\n/);
  });
});

describe('refusal', () => {
  it.each([
    ['another Host', '/', { headers: { Host: 'rebound.example' } }],
    [
      'a form of another site',
      '/api/photos?name=a.jpg',
      { method: 'POST', headers: { Origin: 'http://other.example' }, body: Buffer.from('x') },
    ],
    ['a script of another site', '/api/jobs', { method: 'POST', headers: { 'Sec-Fetch-Site': 'cross-site' }, body: Buffer.from('{}') }],
    ['a page without an address', '/api/jobs', { method: 'POST', headers: { Origin: 'null' }, body: Buffer.from('{}') }],
  ])('%s is turned away', async (_, path, how) => {
    const { status, body } = await raw(path, how);
    expect(status).toBe(403);
    expect(JSON.parse(body).error.code).toBe('refused');
  });

  it.each([
    ['none', ''],
    ['one of another start', 'A'.repeat(43)],
    ['one that is no token', '%00'],
  ])('a change with the wrong token (%s) is turned away', async (_, token) => {
    for (const [method, path] of [
      ['POST', '/api/jobs'],
      ['POST', '/api/photos?name=a.jpg'],
      ['DELETE', `/api/comparisons/${id}`],
      ['PUT', '/nowhere'],
    ] as const) {
      const { status, body } = await raw(path, { method, headers: { [TOKEN_HEADER]: token }, body: Buffer.from('{}') });
      expect([status, JSON.parse(body).error.code]).toEqual([403, 'token']);
    }
    expect(await app.record.comparison(id)).not.toBeNull();
  });

  it.each([
    ['that is larger than any of ours', { 'Content-Length': '1000001' }, 413],
    ['that does not say how large it is', { 'Transfer-Encoding': 'chunked' }, 411],
  ])('a request %s is turned away before its body is read', async (_, headers, status) => {
    expect((await promised('/api/jobs', headers as Record<string, string>)).status).toBe(status);
  });

  it('a browser cannot say whose hands it is in', async () => {
    await raw(`/api/comparisons/${id}/comparison.json`, { headers: { 'X-Ebbline-Actor': 'Somebody' } });
    const [line] = await app.record.audit.lines({ limit: 1 });
    expect(line).toMatchObject({ action: 'export', what: 'comparison', id, actor: userInfo().username });
  });

  it.each([
    '/api/comparisons/ID/files/..%2f..%2frecord.sqlite',
    '/api/comparisons/ID/files/frontal.before.jpg%00',
    '/api/comparisons/ID/files/record.sqlite',
    '/api/comparisons/..%2fID/files/frontal.before.jpg',
    '/api/photos/..%2f..%2frecord.sqlite/preview',
    '/api/photos/ABCDEF/preview',
    '/api/photos/0000000000000000000000000000000000000000000000000000000000000000',
    '/api/comparisons/00000000000000000000000000000000/comparison.json',
  ])('%s is nothing', async (path) => {
    const { status, body } = await raw(path.replace('ID', id));
    expect(status).toBe(404);
    expect(body).not.toMatch(/SQLite|at .*\.ts:\d+/);
  });

  it.each([
    ['no body', '/api/photos?name=a.jpg', { method: 'POST' }, 400, 'empty'],
    [
      'a body that promises too much',
      '/api/photos?name=a.jpg',
      { method: 'POST', headers: { 'Content-Length': '999999999' } },
      413,
      'too-large',
    ],
    ['a request that is no JSON', '/api/jobs', { method: 'POST', body: Buffer.from('{') }, 400, 'not-understood'],
    ['a request of no known kind', '/api/jobs', { method: 'POST', body: Buffer.from('{"kind":"sell"}') }, 400, 'not-understood'],
    [
      'a photograph that is not here',
      '/api/jobs',
      { method: 'POST', body: Buffer.from(JSON.stringify({ kind: 'check', photo: { sha256: '0'.repeat(64), name: 'a.jpg' } })) },
      409,
      'no-photo',
    ],
    ['ids that are none', '/api/jobs?ids=1,2', {}, 400, 'not-understood'],
  ])(
    '%s gets a reason and a remedy',
    async (_, path, how: { method?: string; headers?: Record<string, string>; body?: Buffer }, status, code) => {
      const answer = await (how.headers?.['Content-Length'] ? promised(path, how.headers) : raw(path, how));
      expect([answer.status, JSON.parse(answer.body).error.code]).toEqual([status, code]);
      expect(JSON.parse(answer.body).error.message).toMatch(/\.$/);
      expect(JSON.parse(answer.body).error.advice).toMatch(/\.$/);
    },
  );

  it('a stream that does not say how long it is stops at the limit, and nothing is kept of it', async () => {
    const { hostname, port } = new URL(app.base);
    const headers = { [TOKEN_HEADER]: await tokenOf(app.base) };
    const status = await new Promise<number>((resolve, reject) => {
      const asked = httpRequest(
        { agent: false, hostname, port, path: '/api/photos?name=endless.jpg', method: 'POST', headers },
        (response) => {
          response.resume();
          resolve(response.statusCode!);
        },
      );
      asked.on('error', reject);
      const piece = Buffer.alloc(4_000_000, 7);
      let left = Math.ceil(MOST_UPLOAD_BYTES / piece.length) + 1;
      const send = (): void => {
        while (left-- > 0) if (!asked.write(piece)) return void asked.once('drain', send);
        asked.end();
      };
      send();
    });
    expect(status).toBe(413);
    expect(
      globSync('**/*', { cwd: join(app.dataDir, 'photos'), withFileTypes: true }).filter(
        (file) => file.isFile() && statSync(join(file.parentPath, file.name)).size > 4_000_000,
      ),
    ).toEqual([]);
  });

  it('a photograph that a comparison uses stays', async () => {
    const sha256 = (await app.record.comparison(id))!.request.before[0]!.sha256;
    const { status, body } = await raw(`/api/photos/${sha256}`, { method: 'DELETE' });
    expect([status, JSON.parse(body).error.code]).toEqual([409, 'in-use']);
    expect(await app.record.photo(sha256)).not.toBeNull();
  });

  it('a page cannot mark a comparison as the demo', async () => {
    const { request } = (await app.record.comparison(id))!;
    const { body } = await raw('/api/jobs', {
      method: 'POST',
      body: Buffer.from(JSON.stringify({ ...request, title: 'Not the demo', demo: true })),
    });
    const job = await app.record.job(JSON.parse(body).id);
    expect(job?.request).not.toHaveProperty('demo');
  });
});

/** Sends only the head of a request, and reads what comes back. */
async function promised(path: string, more: Record<string, string>): ReturnType<typeof raw> {
  const { hostname, port } = new URL(app.base);
  const headers = { ...more, [TOKEN_HEADER]: await tokenOf(app.base) };
  return new Promise((resolve, reject) => {
    const asked = httpRequest({ agent: false, hostname, port, path, method: 'POST', headers }, (response) => {
      let body = '';
      response.on('data', (chunk: Buffer) => {
        body += chunk.toString('utf8');
      });
      response.on('end', () => {
        resolve({ status: response.statusCode!, headers: response.headers, body });
        asked.destroy();
      });
    });
    asked.on('error', reject);
    asked.write('x');
  });
}
