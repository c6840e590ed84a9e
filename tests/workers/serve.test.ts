/** Serving: where it refuses to, and, with the page built, a whole life: start, answer, lose the runner, end. */
import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync } from 'node:fs';
import { createServer } from 'node:net';
import { resolve } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { describe, expect, it } from 'vitest';
import { openRecord } from '#lib/record/open.ts';
import { hashPassword, storePassword } from '#lib/record/password.ts';
import { withDir } from '#tests/record/sample-jobs.ts';
import { prepareDemo } from '#workers/prepare-demo.ts';
import { isLoopback, whyNotServe } from '#workers/serve.ts';
import { NO_OTHERS, type Others, ownNames, whyNotOthers } from '#workers/serving-others.ts';

const ROOT = resolve(import.meta.dirname, '../..');
const built = existsSync(resolve(ROOT, '.next/BUILD_ID'));
const demoThere = existsSync(resolve(ROOT, 'demo-images/case.json'));

describe('refusal', () => {
  it('other machines are served with a password, and encrypted or by express word; each case says what is missing', () =>
    withDir(async (dataDir) => {
      const why = (others: Partial<Others> = {}, env = {}) =>
        whyNotServe({ host: '192.0.2.7', port: null, dataDir, others: { ...NO_OTHERS, ...others }, signIn: false }, env);
      const word = { EBBLINE_PASSWORD: 'correct battery staple' };
      expect(await why({ plainHttp: true })).toMatch(/needs a password/);
      expect(await why({ plainHttp: true }, { EBBLINE_PASSWORD: 'short' })).toMatch(/at least 12 characters/);
      expect(await why({}, word)).toMatch(/without encryption/);
      expect(await why({ tlsCert: 'a.pem' }, word)).toMatch(/belong together/);
      expect(await why({ tlsCert: 'nowhere.pem', tlsKey: 'nowhere.key' }, word)).toMatch(/cannot be used/);
      expect(await why({ tlsCert: 'a', tlsKey: 'b', plainHttp: true }, word)).toMatch(/exclude each other/);
      storePassword(dataDir, await hashPassword('correct battery staple'));
      expect(await why()).toMatch(/without encryption/);
    }));
  it('a certificate with the key of another, or one that ran out', () =>
    withDir(async (dir) => {
      const make = (name: string, days: string) =>
        execFileSync(
          'openssl',
          [
            'req',
            '-x509',
            '-newkey',
            'ec',
            '-pkeyopt',
            'ec_paramgen_curve:P-256',
            '-nodes',
            '-subj',
            '/CN=x',
            '-days',
            days,
            '-keyout',
            `${name}.key`,
            '-out',
            `${name}.pem`,
          ],
          { cwd: dir, stdio: 'ignore' },
        );
      make('one', '2');
      make('two', '2');
      const at = (name: string) => resolve(dir, name);
      const why = (cert: string, key: string, now?: Date) =>
        whyNotOthers(
          '192.0.2.7',
          dir,
          { ...NO_OTHERS, tlsCert: at(cert), tlsKey: at(key) },
          { EBBLINE_PASSWORD: 'correct battery staple' },
          now,
        );
      expect(why('one.pem', 'one.key')).toBeNull();
      expect(why('one.pem', 'two.key')).toMatch(/is not the key/);
      expect(why('one.pem', 'one.key', new Date(Date.now() + 3 * 86_400_000))).toMatch(/ran out/);
    }));
  it('options of serving others on this machine alone, which may ask for the password but not without one', async () => {
    const alone = (others: Partial<Others>, signIn = false, env = {}) =>
      whyNotServe({ host: '127.0.0.1', port: null, dataDir: '/nowhere', others: { ...NO_OTHERS, ...others }, signIn }, env);
    expect(await alone({ plainHttp: true })).toMatch(/belong to serving other machines/);
    expect(await alone({}, true)).toMatch(/needs a password/);
    expect((await alone({}, true, { EBBLINE_PASSWORD: 'correct battery staple' })) ?? '').not.toMatch(/password/i);
  });
  it('only true loopback addresses count as this machine', () => {
    expect(['localhost', '127.0.0.1', '127.8.9.1', '::1'].filter((host) => !isLoopback(host))).toEqual([]);
    expect(['0.0.0.0', '::', '127.0.0.1.example.org', 'localhost.example.org', '128.0.0.1', ''].filter(isLoopback)).toEqual([]);
  });
  it('a port that is named and taken is not silently exchanged', async () => {
    const other = createServer().listen(0, '127.0.0.1');
    await once(other, 'listening');
    const { port } = other.address() as { port: number };
    expect(await whyNotServe({ host: '127.0.0.1', port, dataDir: '/nowhere', others: NO_OTHERS, signIn: false }, {})).toMatch(
      new RegExp(`Port ${port} is in use`),
    );
    other.close();
  });
});

describe('law: names of this machine', () => {
  it('are those of the address that was named, or all when all are served, and none of them is loopback', () => {
    expect(ownNames('192.0.2.7', ['photos.lan'])).toEqual(['photos.lan', '192.0.2.7']);
    const all = ownNames('0.0.0.0', []);
    expect(all.length).toBeGreaterThan(1);
    expect(all.filter(isLoopback)).toEqual([]);
  });
});

describe.skipIf(!demoThere)('law: the demo case (skipped without demo-images)', () => {
  it('is prepared once, and does not come back when it was removed', () =>
    withDir(async (dataDir) => {
      const record = openRecord({ dataDir });
      const id = await prepareDemo(record);
      const job = await record.job(id!);
      expect(job?.request).toMatchObject({ kind: 'compare', demo: true });
      expect(await prepareDemo(record)).toBeNull();
      expect(await record.jobs()).toHaveLength(1);
      await record.close();
    }));
});

/** Pids of a process's children, and theirs. */
function descendants(pid: number): number[] {
  const table = execFileSync('ps', ['-e', '-o', 'pid=,ppid='], { encoding: 'utf8' })
    .trim()
    .split('\n')
    .map((line) => line.trim().split(/\s+/).map(Number));
  const below = (of: number): number[] => table.filter(([, parent]) => parent === of).flatMap(([child]) => [child!, ...below(child!)]);
  return below(pid);
}

describe.skipIf(!built)('law: a whole life (skipped until the page is built)', () => {
  it('answers, starts a lost runner again, and ends without leaving anything', () =>
    withDir(async (dataDir) => {
      const program: ChildProcess = spawn(process.execPath, [resolve(ROOT, 'workers/cli.ts'), 'serve', '--data', dataDir], {
        stdio: ['ignore', 'pipe', 'pipe'],
      });
      let said = '';
      for (const stream of [program.stdout!, program.stderr!])
        stream.on('data', (text) => {
          said += text;
        });
      const until = async (done: () => boolean | Promise<boolean>): Promise<void> => {
        while (!(await done())) {
          if (program.exitCode !== null) throw new Error(`ended early: ${said}`);
          await sleep(50);
        }
      };
      try {
        await until(() => said.includes('Ctrl-C'));
        const address = /http:\/\/127\.0\.0\.1:\d+/.exec(said)![0];
        expect((await fetch(address)).status).toBe(200);
        const record = openRecord({ dataDir });
        await until(() => record.runnerAlive());
        const runner = descendants(program.pid!).find((pid) =>
          execFileSync('ps', ['-o', 'args=', '-p', String(pid)], { encoding: 'utf8' }).includes('runner.ts'),
        )!;
        process.kill(runner, 'SIGKILL');
        await until(() => said.includes('is started again'));
        await record.close();
        const family = descendants(program.pid!);
        expect(family.length).toBeGreaterThanOrEqual(2);
        const exit = once(program, 'exit');
        program.kill('SIGINT');
        expect((await exit)[0]).toBe(0);
        expect(family.filter((pid) => existsSync(`/proc/${pid}`))).toEqual([]);
      } finally {
        if (program.exitCode === null) program.kill('SIGTERM');
      }
    }));
});
