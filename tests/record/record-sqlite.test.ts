/** The record on SQLite: the contract, and what is its own: permissions, migrations, a second process, a crash. */
import { execFile } from 'node:child_process';
import { mkdir, readdir, stat, utimes, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { promisify } from 'node:util';
import { describe, expect, it } from 'vitest';
import { defaultDataDir } from '#lib/record/data-dir.ts';
import { MIGRATIONS } from '#lib/record/migrations.ts';
import { openRecord } from '#lib/record/open.ts';
import { recordContract } from './record.contract.ts';
import { bytesOf, checkRequest, withDir } from './sample-jobs.ts';

recordContract((work) =>
  withDir(async (dataDir) => {
    const page = openRecord({ dataDir });
    const runner = openRecord({ dataDir });
    try {
      await work(page, runner);
    } finally {
      await page.close();
      await runner.close();
    }
  }),
);

const modeOf = async (path: string): Promise<number> => (await stat(path)).mode & 0o777;

describe('law: on the disk', () => {
  it('nobody but the owner can read anything', () =>
    withDir(async (dir) => {
      const dataDir = join(dir, 'data');
      const record = openRecord({ dataDir });
      const added = await record.addPhoto(bytesOf('abc'), 'x.jpg');
      if (added.ok) await record.putPreview(added.value.sha256, bytesOf('small'));
      const entries = await readdir(dataDir, { recursive: true, withFileTypes: true });
      const open = [];
      for (const entry of entries) {
        const path = join(entry.parentPath, entry.name);
        if ((await modeOf(path)) !== (entry.isDirectory() ? 0o700 : 0o600)) open.push(path);
      }
      expect(open).toEqual([]);
      expect(await modeOf(dataDir)).toBe(0o700);
      expect(entries.filter((entry) => entry.isFile()).length).toBeGreaterThan(3);
      await record.close();
    }));
  it('leaves nothing of a refused or broken upload', () =>
    withDir(async (dataDir) => {
      const record = openRecord({ dataDir });
      async function* broken() {
        yield bytesOf('abc');
        throw new Error('the line went dead');
      }
      await expect(record.addPhotoStream(broken(), 'x.jpg')).rejects.toThrow('the line went dead');
      await record.addPhotoStream(
        (async function* () {
          yield bytesOf('abcdef');
        })(),
        'x.jpg',
        3,
      );
      expect(await readdir(join(dataDir, 'photos'))).toEqual([]);
      await record.close();
    }));
  it('sweeps what a crash left, but not what is being written', () =>
    withDir(async (dataDir) => {
      const record = openRecord({ dataDir });
      await mkdir(join(dataDir, 'comparisons', '.unfinished-old'), { recursive: true });
      await mkdir(join(dataDir, 'photos'), { recursive: true });
      await writeFile(join(dataDir, 'photos', '.unfinished-new'), 'x');
      await utimes(join(dataDir, 'comparisons', '.unfinished-old'), 1, 1);
      expect(await record.sweep()).toBe(1);
      expect(await readdir(join(dataDir, 'photos'))).toEqual(['.unfinished-new']);
      await record.close();
    }));
  it('keeps its content when opened again, and takes no step twice', () =>
    withDir(async (dataDir) => {
      const first = openRecord({ dataDir });
      const added = await first.addPhoto(bytesOf('abc'), 'x.jpg');
      await first.close();
      const again = openRecord({ dataDir });
      expect(added.ok && (await again.photo(added.value.sha256))?.bytes).toBe(3);
      await again.close();
      const db = new DatabaseSync(join(dataDir, 'record.sqlite'));
      expect(db.prepare('PRAGMA user_version').get()).toEqual({ user_version: MIGRATIONS.length });
      expect(db.prepare('PRAGMA journal_mode').get()).toEqual({ journal_mode: 'wal' });
      db.close();
    }));
  it('takes photographs and jobs from three processes at once', () =>
    withDir(async (dataDir) => {
      const script = `
        import { openRecord } from '#lib/record/open.ts';
        const record = openRecord({ dataDir: process.argv[1] });
        for (let i = 0; i < 40; i++) {
          const added = await record.addPhoto(new TextEncoder().encode('photo ' + (i % 25)), i + '.jpg');
          const id = await record.enqueue({ kind: 'check', photo: { sha256: added.value.sha256, name: 'n.jpg' } });
          const job = await record.claim('runner-' + process.pid);
          if (job) await record.progress(job.id, 'runner-' + process.pid, 'step', 0.5);
        }
        await record.close();`;
      const run = () => promisify(execFile)(process.execPath, ['--input-type=module', '--eval', script, dataDir]);
      await Promise.all([run(), run(), run()]);
      const record = openRecord({ dataDir });
      const jobs = await record.jobs({ kind: 'check' });
      expect(jobs).toHaveLength(25);
      expect(jobs.filter((job) => job.attempts > 1)).toEqual([]);
      await record.close();
    }));
});

describe('refusal', () => {
  it('does not touch a record of a later version', () =>
    withDir(async (dataDir) => {
      await openRecord({ dataDir }).close();
      const db = new DatabaseSync(join(dataDir, 'record.sqlite'));
      db.exec('PRAGMA user_version = 999');
      db.close();
      expect(() => openRecord({ dataDir })).toThrow(/later version/);
    }));
  it('throws on a row that it cannot have written', () =>
    withDir(async (dataDir) => {
      const record = openRecord({ dataDir });
      const added = await record.addPhoto(bytesOf('abc'), 'x.jpg');
      const id = added.ok ? await record.enqueue(checkRequest(added.value.sha256)) : '';
      const db = new DatabaseSync(join(dataDir, 'record.sqlite'));
      expect(() => db.exec(`UPDATE job SET state = 'lost'`)).toThrow();
      db.exec(`UPDATE job SET request = '{}'`);
      db.close();
      await expect(record.job(id)).rejects.toThrow();
      await record.close();
    }));
});

describe('oracle: XDG Base Directory Specification 0.8', () => {
  it('the data directory follows the variables, and ignores a relative one', () => {
    const home = defaultDataDir({});
    expect(home).toMatch(/\/\.local\/share\/ebbline$/);
    expect(defaultDataDir({ XDG_DATA_HOME: '/x' })).toBe('/x/ebbline');
    expect(defaultDataDir({ XDG_DATA_HOME: 'x' })).toBe(home);
    expect(defaultDataDir({ XDG_DATA_HOME: '/x', EBBLINE_HOME: '/y' })).toBe('/y');
  });
});
