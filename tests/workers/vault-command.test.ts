/** The vault on the command line, and the key on its way to the program's other processes. */
import { fork } from 'node:child_process';
import { once } from 'node:events';
import { readdir, readFile, writeFile } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { describe, expect, it } from 'vitest';
import { openRecord } from '#lib/record/open.ts';
import { protectionOf } from '#lib/record/open-vault.ts';
import { setPassphrase, unlockRecord } from '#lib/record/unlock.ts';
import { bytesOf, checkRequest, withDir } from '#tests/record/sample-jobs.ts';
import { ebbline } from '#workers/cli.ts';
import type { World } from '#workers/commands/command.ts';
import { KEY_COMES, sendKey } from '#workers/key-from-parent.ts';
import { runJobs } from '#workers/run-jobs.ts';
import { fakeMeasuring } from './fake-measuring.ts';

const PASSPHRASE = 'four words of nobody';

/** Runs one command line; `answers` are what the user types, in order, and null is nobody to ask. */
async function run(args: readonly string[], answers: readonly string[] | null = null, env: World['env'] = {}) {
  let [out, err] = ['', ''];
  const asked: string[] = [];
  const waiting = [...(answers ?? [])];
  const world: World = {
    out: (text) => {
      out += text;
    },
    err: (text) => {
      err += text;
    },
    terminal: false,
    columns: 80,
    env,
    measuring: async () => fakeMeasuring,
    ...(answers
      ? {
          ask: async (prompt: string) => {
            asked.push(prompt);
            return waiting.shift() ?? null;
          },
        }
      : {}),
  };
  return { exit: await ebbline(args, world), out, err, asked };
}

async function filled(dataDir: string): Promise<string> {
  const record = openRecord({ dataDir });
  const added = await record.addPhoto(bytesOf('a face'), 'Jane Doe.jpg');
  await record.close();
  return added.ok ? added.value.sha256 : '';
}

describe('law: ebbline vault', () => {
  it('says which protection is on, sets a passphrase that is typed twice, changes it, and goes back', () =>
    withDir(async (dataDir) => {
      expect(await run(['vault', 'status', '--data', dataDir])).toMatchObject({ exit: 0, out: expect.stringContaining('no record') });
      await filled(dataDir);
      expect((await run(['vault', 'status', '--data', dataDir])).out).toMatch(/key file/);
      const set = await run(['vault', 'passphrase', '--data', dataDir], [PASSPHRASE, PASSPHRASE]);
      expect(set).toMatchObject({ exit: 0, out: expect.stringMatching(/locked with your passphrase/) });
      expect(set.asked).toEqual(['The new passphrase: ', 'The same again: ']);
      expect((await run(['vault', 'status', '--data', dataDir])).out).toMatch(/locked with your passphrase/);
      const changed = await run(
        ['vault', 'passphrase', '--data', dataDir],
        [PASSPHRASE, 'another four of nobody', 'another four of nobody'],
      );
      expect(changed.asked[0]).toBe('Passphrase of the record: ');
      expect(await run(['vault', 'key-file', '--data', dataDir], ['another four of nobody'])).toMatchObject({ exit: 0 });
      expect(protectionOf(dataDir)).toBe('key-file');
      expect(set.out + set.err + changed.out + changed.err).not.toMatch(/four words|another four/);
    }));
  it('asks three times, and takes a file in place of an answer', () =>
    withDir(async (dataDir) => {
      await filled(dataDir);
      setPassphrase(dataDir, {}, PASSPHRASE);
      const wrong = await run(['vault', 'key-file', '--data', dataDir], ['no', 'neither', 'nor this', PASSPHRASE]);
      expect(wrong).toMatchObject({ exit: 4, err: expect.stringMatching(/not the passphrase/) });
      expect(wrong.asked).toHaveLength(3);
      expect(protectionOf(dataDir)).toBe('passphrase');
      const file = join(dataDir, 'passphrase-file');
      await writeFile(file, `${PASSPHRASE}\r\n`);
      expect(await run(['vault', 'key-file', '--data', dataDir, '--passphrase-file', file])).toMatchObject({ exit: 0 });
      setPassphrase(dataDir, {}, PASSPHRASE);
      expect(await run(['vault', 'key-file', '--data', dataDir], null, { EBBLINE_PASSPHRASE_FILE: file })).toMatchObject({ exit: 0 });
    }));
});

describe('law: ebbline backup and restore', () => {
  it('carry a record to a new folder, and leave their lines in the audit', () =>
    withDir(async (dir) => {
      const [old, made, file, words] = [join(dir, 'old'), join(dir, 'new'), join(dir, 'a.tar'), join(dir, 'words')];
      const sha256 = await filled(old);
      await writeFile(words, PASSPHRASE);
      const backed = await run(['backup', file, '--data', old], [PASSPHRASE, PASSPHRASE]);
      expect(backed).toMatchObject({ exit: 0, out: expect.stringMatching(/SHA-256 [0-9a-f]{64}/) });
      expect(await run(['restore', file, '--data', made, '--passphrase-file', words])).toMatchObject({
        exit: 0,
        out: expect.stringMatching(/1 photographs?/),
      });
      for (const [dataDir, action] of [
        [old, 'export'],
        [made, 'restore'],
      ] as const) {
        const record = openRecord({ dataDir });
        expect((await record.audit.lines()).map((line) => line.action)).toContain(action);
        expect(await record.audit.verify()).toMatchObject({ ok: true });
        expect(new TextDecoder().decode((await record.photoBytes(sha256))!)).toBe('a face');
        await record.close();
      }
    }));
});

describe('refusal', () => {
  it('of wrong words, of two that differ, of a weak one, and of nobody to ask; nothing is changed', () =>
    withDir(async (dataDir) => {
      await filled(dataDir);
      for (const args of [['vault'], ['vault', 'open'], ['vault', 'status', 'now'], ['vault', 'status', '--new-passphrase-file', 'x']])
        expect([args, (await run([...args, '--data', dataDir])).exit]).toEqual([args, 2]);
      expect(await run(['vault', 'passphrase', '--data', dataDir], [PASSPHRASE, 'four words of somebody'])).toMatchObject({ exit: 2 });
      expect(await run(['vault', 'passphrase', '--data', dataDir], ['short', 'short'])).toMatchObject({
        exit: 4,
        err: expect.stringMatching(/at least 12/),
      });
      expect(await run(['vault', 'passphrase', '--data', dataDir], [])).toMatchObject({ exit: 2 });
      expect(await run(['vault', 'passphrase', '--data', dataDir])).toMatchObject({ exit: 2, err: expect.stringMatching(/no terminal/) });
      expect(protectionOf(dataDir)).toBe('key-file');
      for (const [name, content] of [
        ['empty', ''],
        ['two', 'one line\nand another'],
      ] as const) {
        await writeFile(join(dataDir, name), content);
        expect(await run(['vault', 'passphrase', '--data', dataDir, '--new-passphrase-file', join(dataDir, name)])).toMatchObject({
          exit: 2,
        });
      }
      expect(await run(['vault', 'passphrase', '--data', dataDir, '--new-passphrase-file', join(dataDir, 'none')])).toMatchObject({
        exit: 2,
      });
    }));
  it('restore says why with the right exit code', () =>
    withDir(async (dir) => {
      const [file, words] = [join(dir, 'a.tar'), join(dir, 'words')];
      await writeFile(file, 'no archive');
      await writeFile(words, PASSPHRASE);
      const restore = (...args: string[]) => run(['restore', ...args, '--passphrase-file', words]);
      expect(await restore(file)).toMatchObject({ exit: 2 });
      expect(await restore(file, '--data', dir)).toMatchObject({ exit: 2, err: expect.stringMatching(/not empty/) });
      expect(await restore(file, '--data', join(dir, 'new'))).toMatchObject({ exit: 4, err: expect.stringMatching(/no backup/) });
      expect(await run(['restore', file, '--data', join(dir, 'new')])).toMatchObject({ exit: 2 });
      expect((await readdir(dir)).sort()).toEqual(['a.tar', 'words']);
    }));
});

describe('law: the key reaches every process and thread', () => {
  it('by the channel to a runner of its own process, without which it does not start', { timeout: 60_000 }, () =>
    withDir(async (dataDir) => {
      await filled(dataDir);
      setPassphrase(dataDir, {}, PASSPHRASE);
      const start = (...args: string[]) =>
        fork(resolve(import.meta.dirname, '../../workers/runner.ts'), ['--data', dataDir, ...args], {
          execArgv: [],
          stdio: ['ignore', 'ignore', 'pipe', 'ipc'],
        });
      const locked = start();
      expect((await once(locked, 'exit'))[0]).not.toBe(0);

      const { key } = unlockRecord(dataDir, { passphrase: PASSPHRASE });
      const child = start(KEY_COMES);
      const ready = once(child, 'message');
      sendKey(child, key);
      expect((await ready)[0]).toEqual({ ready: true });
      // Neither in its arguments nor in its surroundings.
      if (process.platform === 'linux')
        for (const place of ['cmdline', 'environ']) {
          const text = (await readFile(`/proc/${child.pid}/${place}`)).toString('latin1');
          for (const form of ['base64', 'hex', 'latin1'] as const) expect(text.includes(Buffer.from(key).toString(form))).toBe(false);
          expect(text.includes(PASSPHRASE)).toBe(false);
        }
      const exit = once(child, 'exit');
      child.kill('SIGTERM');
      expect((await exit)[0]).toBe(0);
    }),
  );
  it('by the start of a measuring thread, which does a job on a locked record', () =>
    withDir(async (dataDir) => {
      const sha256 = await filled(dataDir);
      setPassphrase(dataDir, {}, PASSPHRASE);
      const { key } = unlockRecord(dataDir, { passphrase: PASSPHRASE });
      const record = openRecord({ dataDir, key });
      const runner = runJobs(record, { dataDir, key, threadFile: new URL('./fake.thread.ts', import.meta.url), threads: [null] });
      const id = await record.enqueue(checkRequest(sha256));
      while ((await record.job(id))?.state !== 'done') await sleep(20);
      expect((await record.checkResult(id))?.sha256).toBe(sha256);
      await runner.stop();
      await record.close();
    }));
  it('a damaged photograph fails its own job with its own code, and the next one is done', () =>
    withDir(async (dataDir) => {
      const sha256 = await filled(dataDir);
      const record = openRecord({ dataDir });
      const good = await record.addPhoto(bytesOf('another face'), 'good.jpg');
      const path = join(dataDir, 'photos', sha256.slice(0, 2), sha256);
      const bytes = await readFile(path);
      bytes[20]! ^= 1;
      await writeFile(path, bytes);
      const runner = runJobs(record, { dataDir, threadFile: new URL('./fake.thread.ts', import.meta.url), threads: [null] });
      const ended = async (id: string) => {
        for (;;) {
          const job = (await record.job(id))!;
          if (!['waiting', 'running'].includes(job.state)) return job;
          await sleep(20);
        }
      };
      const bad = await ended(await record.enqueue(checkRequest(sha256, 'Jane Doe.jpg')));
      expect(bad).toMatchObject({
        state: 'failed',
        attempts: 1,
        fault: { code: 'damaged', photo: sha256, message: expect.stringContaining('Jane Doe.jpg') },
      });
      expect((await ended(await record.enqueue(checkRequest(good.ok ? good.value.sha256 : '')))).state).toBe('done');
      await runner.stop();
      await record.close();
    }));
});
