/** Backup and restore: what comes back is what there was, and whatever is wrong with an archive leaves nothing behind. */
import { createHash } from 'node:crypto';
import { createReadStream, createWriteStream } from 'node:fs';
import { appendFile, copyFile, mkdir, readdir, readFile, rm, truncate, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { pipeline } from 'node:stream/promises';
import { extract, type Header, pack } from 'tar-stream';
import { describe, expect, it } from 'vitest';
import { backupRecord } from '#lib/record/backup.ts';
import { openRecord } from '#lib/record/open.ts';
import { protectionOf } from '#lib/record/open-vault.ts';
import { type Restored, type RestoreFault, restoreRecord } from '#lib/record/restore.ts';
import { setPassphrase } from '#lib/record/unlock.ts';
import type { Outcome } from '#shared/outcome.ts';
import { sampleComparison } from '#tests/report/sample-comparison.ts';
import { bytesOf, compareRequest, withDir } from './sample-jobs.ts';

const PASSPHRASE = 'four words of nobody';

/** A case with a photograph and a comparison. */
async function fill(dataDir: string, given: { passphrase?: string } = {}): Promise<{ shas: string[]; comparison: string }> {
  const record = openRecord({ dataDir, ...given });
  const shas: string[] = [];
  for (const text of ['before', 'after', 'third']) {
    const added = await record.addPhoto(bytesOf(text), `Jane ${text}.jpg`);
    if (!added.ok) throw new Error(added.detail);
    shas.push(added.value.sha256);
  }
  await record.casesAs('me').addCase({ code: 'C-1', name: 'Jane Doe', birthYear: 1970, note: '' });
  const comparison = await record.enqueue(compareRequest(shas[0]!, shas[1]!));
  await record.claim('r');
  await record.finishCompare(comparison, 'r', sampleComparison(), [{ name: 'report.html', bytes: bytesOf('<p>Jane') }]);
  await record.close();
  return { shas, comparison };
}

async function holds(
  dataDir: string,
  { shas, comparison }: { shas: string[]; comparison: string },
  given: { passphrase?: string } = {},
): Promise<void> {
  const record = openRecord({ dataDir, ...given });
  expect(await Promise.all(shas.map(async (sha256) => new TextDecoder().decode((await record.photoBytes(sha256))!)))).toEqual([
    'before',
    'after',
    'third',
  ]);
  expect((await record.comparison(comparison))?.title).toBe('A case');
  expect(new TextDecoder().decode((await record.plateFile(comparison, 'report.html'))!)).toBe('<p>Jane');
  const [one] = await record.casesAs('me').listCases();
  expect((await record.casesAs('me').openCase(one!.id))?.patientCase.name).toBe('Jane Doe');
  expect(await record.audit.verify()).toMatchObject({ ok: true });
  await record.close();
}

const restore = (file: string, dataDir: string, passphrase = PASSPHRASE): Promise<Outcome<Restored, RestoreFault>> =>
  restoreRecord(file, { dataDir, passphrase: async () => passphrase });

async function withBackup(work: (dir: string, file: string, made: Awaited<ReturnType<typeof fill>>) => Promise<void>): Promise<void> {
  await withDir(async (dir) => {
    const made = await fill(join(dir, 'old'));
    const file = join(dir, 'a.tar');
    const backed = await backupRecord(file, { dataDir: join(dir, 'old'), given: {}, passphrase: PASSPHRASE });
    expect(backed).toMatchObject({ ok: true });
    await work(dir, file, made);
  });
}

/** Names beside the archive and the old record: nothing is to be left. */
const leftIn = async (dir: string): Promise<string[]> => (await readdir(dir)).filter((name) => !/^(old|.*\.tar)$/.test(name));

describe('law', () => {
  it('a record with a key file comes back with a key file of its own', () =>
    withBackup(async (dir, file, made) => {
      expect(await restore(file, join(dir, 'new'))).toMatchObject({ ok: true, value: { photos: 3, protection: 'key-file' } });
      await holds(join(dir, 'new'), made);
      expect(await readFile(join(dir, 'new', 'key'), 'utf8')).not.toBe(await readFile(join(dir, 'old', 'key'), 'utf8'));
      expect(await leftIn(dir)).toEqual(['new']);
    }));
  it('a record with a passphrase comes back with the same', () =>
    withDir(async (dir) => {
      const made = await fill(join(dir, 'old'));
      setPassphrase(join(dir, 'old'), {}, PASSPHRASE);
      const file = join(dir, 'a.tar');
      expect(await backupRecord(file, { dataDir: join(dir, 'old'), given: { passphrase: PASSPHRASE } })).toMatchObject({ ok: true });
      expect(await restore(file, join(dir, 'new'))).toMatchObject({ ok: true, value: { protection: 'passphrase' } });
      expect(protectionOf(join(dir, 'new'))).toBe('passphrase');
      await holds(join(dir, 'new'), made, { passphrase: PASSPHRASE });
    }));
  it('every kept file is in it, and neither a key, a name nor a picture can be read in it', () =>
    withBackup(async (dir, file) => {
      await restore(file, join(dir, 'new'));
      const namesIn = async (folder: string): Promise<string[]> =>
        (await readdir(folder, { recursive: true, withFileTypes: true }))
          .filter((entry) => entry.isFile() && !/-(wal|shm)$/.test(entry.name))
          .map((entry) => join(entry.parentPath, entry.name).slice(folder.length))
          .sort();
      expect(await namesIn(join(dir, 'new'))).toEqual(await namesIn(join(dir, 'old')));
      const text = (await readFile(file)).toString('latin1');
      const key = (await readFile(join(dir, 'old', 'key'), 'utf8')).trim();
      for (const secret of ['Jane', key, Buffer.from(key, 'hex').toString('latin1'), Buffer.from(key, 'hex').toString('base64')])
        expect(text.includes(secret)).toBe(false);
    }));
  it('is of one moment, though photographs come and go meanwhile', () =>
    withDir(async (dir) => {
      const dataDir = join(dir, 'old');
      await fill(dataDir);
      const record = openRecord({ dataDir });
      const kept: string[] = [];
      let over = false;
      const busy = (async () => {
        for (let i = 0; !over; i++) {
          const added = await record.addPhoto(bytesOf(`photo ${i} ${'x'.repeat(20_000)}`), `${i}.jpg`);
          if (added.ok) kept.push(added.value.sha256);
          if (i % 3 === 0) await record.removePhoto(kept.shift()!);
        }
      })();
      for (let round = 0; round < 3; round++) {
        const file = join(dir, `${round}.tar`);
        expect(await backupRecord(file, { dataDir, given: {}, passphrase: PASSPHRASE })).toMatchObject({ ok: true });
        // Restoring holds every row of a photograph to its file.
        expect(await restore(file, join(dir, `new-${round}`))).toMatchObject({ ok: true });
      }
      over = true;
      await busy;
      await record.close();
      expect(kept.length).toBeGreaterThan(5);
      expect((await readdir(dataDir)).filter((name) => name.startsWith('.'))).toEqual([]);
    }));
});

describe('refusal', () => {
  it('of a target that is not empty, of a file that is there, and of no record', () =>
    withBackup(async (dir, file) => {
      expect(await restore(file, join(dir, 'old'))).toMatchObject({ ok: false, why: 'not-empty' });
      expect(await restore(file, file)).toMatchObject({ ok: false, why: 'not-empty' });
      await mkdir(join(dir, 'empty'));
      expect(await restore(file, join(dir, 'empty'))).toMatchObject({ ok: true });
      const again = (to: string, dataDir: string) => backupRecord(to, { dataDir, given: {}, passphrase: PASSPHRASE });
      expect(await again(file, join(dir, 'old'))).toMatchObject({ ok: false, why: 'there-already' });
      expect(await again(join(dir, 'b.tar'), join(dir, 'nowhere'))).toMatchObject({ ok: false, why: 'no-record' });
      expect(await again(join(dir, 'no', 'b.tar'), join(dir, 'old'))).toMatchObject({ ok: false, why: 'not-writable' });
      await expect(backupRecord(join(dir, 'c.tar'), { dataDir: join(dir, 'old'), given: {}, passphrase: 'short' })).rejects.toMatchObject({
        code: 'weak-passphrase',
      });
      expect(await leftIn(dir)).toEqual(['empty']);
    }));
  it('of a wrong passphrase', () =>
    withBackup(async (dir, file) => {
      expect(await restore(file, join(dir, 'new'), 'another one of nobody')).toMatchObject({ ok: false, why: 'wrong-passphrase' });
      expect(await leftIn(dir)).toEqual([]);
    }));
  it('of an archive cut at any of its parts', () =>
    withBackup(async (dir, file) => {
      const { length } = await readFile(file);
      const cut = join(dir, 'cut.tar');
      for (const part of [0.001, 0.3, 0.7, 0.9, 0.99]) {
        await copyFile(file, cut);
        // The last two blocks of a tar archive are empty, and say nothing.
        await truncate(cut, Math.floor((length - 1024) * part));
        const outcome = await restore(cut, join(dir, 'new'));
        expect([part, outcome.ok, !outcome.ok && outcome.why]).toEqual([part, false, part < 0.002 ? 'not-a-backup' : 'altered']);
      }
      expect(await leftIn(dir)).toEqual([]);
    }));
  it('of an archive with one byte changed, wherever it is', () =>
    withBackup(async (dir, file) => {
      const bytes = await readFile(file);
      const spoilt = join(dir, 'spoilt.tar');
      // The head's own text, its wrapped key, tables, a photograph, the manifest, a name in a header.
      const manifest = bytes.lastIndexOf('"mac"');
      for (const at of [
        bytes.indexOf('"madeAt"') + 12,
        512 + 1024 + 5000,
        bytes.indexOf('photos/') + 1024,
        manifest + 10,
        bytes.indexOf('photos/') + 20,
      ]) {
        const other = Buffer.from(bytes);
        other[at]! ^= 1;
        await writeFile(spoilt, other);
        const outcome = await restore(spoilt, join(dir, 'new'));
        expect([at, outcome.ok]).toEqual([at, false]);
        expect(!outcome.ok && ['altered', 'not-a-backup', 'wrong-passphrase']).toContain(!outcome.ok && outcome.why);
      }
      expect(await leftIn(dir)).toEqual([]);
    }));
  it('of what is no archive at all, a folder, or nothing', () =>
    withDir(async (dir) => {
      await writeFile(join(dir, 'a.tar'), 'x'.repeat(5000));
      await writeFile(join(dir, 'b.tar'), '');
      expect(await restore(join(dir, 'a.tar'), join(dir, 'new'))).toMatchObject({ ok: false, why: 'not-a-backup' });
      expect(await restore(join(dir, 'b.tar'), join(dir, 'new'))).toMatchObject({ ok: false, why: 'not-a-backup' });
      expect(await restore(dir, join(dir, 'new'))).toMatchObject({ ok: false, why: 'unreadable' });
      expect(await restore(join(dir, 'c.tar'), join(dir, 'new'))).toMatchObject({ ok: false, why: 'unreadable' });
      expect(await leftIn(dir)).toEqual([]);
    }));

  type Entry = Header & { data: Buffer };
  /** The archive again with entries changed, and its plain hashes made to fit as one without the key could. */
  async function forged(file: string, to: string, change: (entries: Entry[]) => Entry[]): Promise<void> {
    const entries: Entry[] = [];
    const reader = extract();
    createReadStream(file).pipe(reader);
    for await (const entry of reader) {
      const parts: Buffer[] = [];
      for await (const part of entry) parts.push(part as Buffer);
      entries.push({ ...entry.header, data: Buffer.concat(parts) });
    }
    const writer = pack();
    const done = pipeline(writer, createWriteStream(to));
    for (const { data, ...header } of change(entries)) writer.entry({ ...header, size: data.length }, data);
    writer.finalize();
    await done;
  }

  it('of names that lead elsewhere, links, and files that no record has; nothing is written for them', () =>
    withBackup(async (dir, file) => {
      const evil: Partial<Header>[] = [
        { name: '../evil' },
        { name: 'photos/../../evil' },
        { name: '/tmp/ebbline-evil' },
        { name: 'photos/ab/..' },
        { name: 'photos\\..\\..\\evil' },
        { name: 'key' },
        { name: 'keyring.json' },
        { name: 'record.sqlite-wal' },
        { name: 'photos/.unfinished-x' },
        { name: 'photos/ab/evil', type: 'symlink', linkname: '/etc/passwd' },
        { name: 'photos/ab/evil', type: 'link', linkname: '../old/key' },
        { name: 'photos/ab', type: 'directory' },
      ];
      for (const header of evil) {
        const to = join(dir, 'evil.tar');
        await forged(file, to, (entries) =>
          entries.toSpliced(2, 0, { ...entries[2]!, ...header, data: Buffer.alloc(header.type ? 0 : 4) } as Entry),
        );
        const outcome = await restore(to, join(dir, 'new'));
        expect([header.name, outcome.ok, !outcome.ok && outcome.why]).toEqual([header.name, false, 'altered']);
        expect(await leftIn(dir)).toEqual([]);
      }
    }));
  it('of a photograph exchanged, left out or doubled by one who fits the hashes but has no key', () =>
    withBackup(async (dir, file) => {
      const to = join(dir, 'forged.tar');
      const withHashes = (entries: Entry[]): Entry[] => {
        const place = entries.findIndex(({ name }) => name === 'manifest.json');
        const manifest = JSON.parse(entries[place]!.data.toString()) as { mac: string };
        const listed = entries
          .filter(({ name }) => name !== 'manifest.json')
          .map(({ name, data }) => ({ name, bytes: data.length, sha256: createHash('sha256').update(data).digest('hex') }));
        const text = JSON.stringify({ entries: listed.map(({ bytes, name, sha256 }) => ({ bytes, name, sha256 })), format: 1 });
        const data = Buffer.from(
          JSON.stringify({ format: 1, entries: listed, sha256: createHash('sha256').update(text).digest('hex'), mac: manifest.mac }),
        );
        return entries.with(place, { ...entries[place]!, data });
      };
      const isPhoto = ({ name }: Entry): boolean => name.startsWith('photos/');
      const changes: ((entries: Entry[]) => Entry[])[] = [
        (entries) => entries.map((entry) => (isPhoto(entry) ? { ...entry, data: Buffer.from('another') } : entry)),
        (entries) => entries.filter((entry) => !isPhoto(entry)),
        (entries) => entries.toSpliced(3, 0, entries[3]!),
        (entries) => [...entries, entries[3]!],
      ];
      for (const change of changes) {
        await forged(file, to, (entries) => withHashes(change(entries)));
        expect(await restore(to, join(dir, 'new'))).toMatchObject({ ok: false, why: 'altered' });
      }
      expect(await leftIn(dir)).toEqual([]);
    }));
  it('of an archive of a later version', () =>
    withBackup(async (dir, file) => {
      const to = join(dir, 'later.tar');
      await forged(file, to, ([head, ...rest]) => [
        { ...head!, data: Buffer.from(head!.data.toString().replace('"format": 1', '"format": 2')) },
        ...rest,
      ]);
      expect(await restore(to, join(dir, 'new'))).toMatchObject({ ok: false, why: 'newer' });
    }));
  it('a record with a missing photograph is not called whole', () =>
    withDir(async (dir) => {
      const { shas } = await fill(join(dir, 'old'));
      await rm(join(dir, 'old', 'photos', shas[0]!.slice(0, 2), shas[0]!));
      await appendFile(join(dir, 'old', 'photos', shas[1]!.slice(0, 2), shas[1]!), 'x');
      const file = join(dir, 'a.tar');
      await backupRecord(file, { dataDir: join(dir, 'old'), given: {}, passphrase: PASSPHRASE });
      expect(await restore(file, join(dir, 'new'))).toMatchObject({ ok: false, why: 'altered' });
    }));
});
