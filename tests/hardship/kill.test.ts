/**
 * The process is killed outright (SIGKILL) at fifty seeded moments while it imports, compares and writes reports, and at more while it
 * makes, exchanges and applies its key. Each time the record is opened again, swept and read whole.
 */
import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { once } from 'node:events';
import { mkdir, writeFile } from 'node:fs/promises';
import { dirname, join, resolve } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { describe, expect, it } from 'vitest';
import { openDatabase } from '#lib/record/database.ts';
import { MIGRATIONS } from '#lib/record/migrations.ts';
import { openRecord } from '#lib/record/open.ts';
import { protectionOf } from '#lib/record/open-vault.ts';
import { setKeyFile } from '#lib/record/unlock.ts';
import { randomFrom } from '#lib/stats/random.ts';
import { bytesOf, withDir } from '#tests/record/sample-jobs.ts';
import { flawsOf } from './whole.ts';

const BUSY = resolve(import.meta.dirname, 'busy.ts');
const random = randomFrom(20261125);

/**
 * Runs `mode` until it has been told `pieces` times that its work is kept, and `thenMs` longer; what it had been told by then. Counting
 * pieces of work, not time alone, has the kill fall among them on a busy machine as well.
 */
async function killed(mode: string, dataDir: string, pieces: number, thenMs: number): Promise<string[]> {
  const child = spawn(process.execPath, [BUSY, mode, dataDir, String(random.uint32())], { stdio: ['ignore', 'pipe', 'pipe'] });
  let said = '';
  let complaint = '';
  child.stdout.on('data', (text) => {
    said += text;
  });
  child.stderr.on('data', (text) => {
    complaint += text;
  });
  const exit = once(child, 'exit');
  const closed = once(child, 'close');
  const pieceCount = (): number => said.split('\ndone ').length - 1;
  while ((!said.includes('ready') || pieceCount() < pieces) && child.exitCode === null) await sleep(1);
  await sleep(thenMs);
  child.kill('SIGKILL');
  const [code] = await exit;
  await closed;
  // It may have come to its end (opening does), but not to an error.
  if (code) throw new Error(complaint);
  return [...said.matchAll(/^done (.+)$/gm)].map((match) => match[1]!);
}

/** A case with consent, two visits of one photograph each, and a complaint. */
async function prepared(dataDir: string): Promise<void> {
  const record = openRecord({ dataDir });
  const book = record.casesAs('hardship');
  const made = await book.addCase({ code: 'H-1', name: 'Jane Doe', birthYear: null, note: '' });
  if (!made.ok) throw new Error(made.detail);
  await book.addConsent(made.value.id, { kind: 'photographs', givenOn: '2026-01-01', note: '' });
  for (const on of ['2026-02-01', '2026-03-01']) {
    const added = await record.addPhoto(bytesOf(`face of ${on}`), 'face.jpg');
    if (!added.ok) throw new Error(added.detail);
    const photo = { sha256: added.value.sha256, name: 'face.jpg', view: 'frontal' as const, takenAt: null };
    const put = await book.addPhotos(made.value.id, [{ on, photos: [photo] }]);
    if (!put.ok) throw new Error(put.detail);
  }
  const visits = (await book.caseFile(made.value.id))!.visits;
  const opened = await book.openComplaint(made.value.id, { on: '2026-03-02', beforeVisit: visits[0]!.id, afterVisit: visits[1]!.id });
  if (!opened.ok) throw new Error(opened.detail);
  await record.close();
}

/** Kills `mode` as often as said, within `mostMs` after some piece of work, and holds each time that nothing acknowledged is gone. */
async function endure(dataDir: string, mode: string, times: number, mostMs: number, kept: (all: readonly string[]) => Promise<string[]>) {
  const all: string[] = [];
  for (let i = 0; i < times; i++) {
    all.push(...(await killed(mode, dataDir, random.integer(3), random.uniform() * mostMs)));
    expect([mode, i, await flawsOf(dataDir)]).toEqual([mode, i, []]);
    expect([mode, i, await kept(all)]).toEqual([mode, i, []]);
  }
  // A test in which nothing was ever acknowledged would show nothing.
  expect(all.length).toBeGreaterThan(0);
  if (process.env.EBBLINE_SHOW) console.log(`${mode}: ${all.length} pieces of work in ${times} lives`);
}

const withRecord = async (dataDir: string, work: (record: ReturnType<typeof openRecord>) => Promise<string[]>): Promise<string[]> => {
  const record = openRecord({ dataDir });
  return work(record).finally(() => record.close());
};
/** Those of `all` that `holds` says no to. */
const lacking = async (all: readonly string[], holds: (one: string) => Promise<boolean>): Promise<string[]> => {
  const lost: string[] = [];
  for (const one of all) if (!(await holds(one))) lost.push(one);
  return lost;
};

describe('law: killed at any moment', () => {
  it('while importing: no photograph is lost, none is half there', { timeout: 120_000 }, () =>
    withDir(async (dataDir) => {
      await prepared(dataDir);
      await endure(dataDir, 'import', 20, 40, (all) =>
        withRecord(dataDir, (record) =>
          lacking(
            all,
            async (sha256) => (await record.photoBytes(sha256)) !== null && (await record.casesAs('x').whereIsPhoto(sha256)).length === 1,
          ),
        ),
      );
    }),
  );
  it('while comparing: a comparison is whole or not there, and its job goes on', { timeout: 120_000 }, () =>
    withDir(async (dataDir) => {
      await prepared(dataDir);
      const kept = (all: readonly string[]) =>
        withRecord(dataDir, (record) => lacking(all, async (id) => (await record.comparison(id)) !== null));
      await endure(dataDir, 'compare', 10, 40, kept);
      const record = openRecord({ dataDir });
      await sleep(5);
      await record.reclaim(0);
      expect(await record.jobs({ state: 'running' })).toEqual([]);
      await record.close();
    }),
  );
  it('while a measuring thread works and the runner writes', { timeout: 120_000 }, () =>
    withDir(async (dataDir) => {
      await prepared(dataDir);
      const kept = (all: readonly string[]) =>
        withRecord(dataDir, (record) => lacking(all, async (id) => (await record.comparison(id)) !== null));
      await endure(dataDir, 'thread', 5, 300, kept);
    }),
  );
  it('while writing reports: what was signed stays signed, to the byte', { timeout: 120_000 }, () =>
    withDir(async (dataDir) => {
      await prepared(dataDir);
      await endure(dataDir, 'report', 15, 40, (all) =>
        withRecord(dataDir, (record) =>
          lacking(all, async (signed) => {
            const [id, sha256] = signed.split(':');
            const book = record.casesAs('x');
            const pdf = await book.reportPdf(id!);
            return (await book.report(id!))?.state === 'signed' && createHash('sha256').update(pdf!).digest('hex') === sha256;
          }),
        ),
      );
    }),
  );
  it('while the key is made for the first time', { timeout: 60_000 }, () =>
    withDir(async (dir) => {
      for (let i = 0; i < 6; i++) {
        const dataDir = join(dir, String(i));
        await killed('open', dataDir, 0, random.uniform() * 25);
        expect([i, await flawsOf(dataDir)]).toEqual([i, []]);
      }
    }),
  );
  it("while the passphrase and the key file take each other's place: one of the two opens it", { timeout: 60_000 }, () =>
    withDir(async (dataDir) => {
      await prepared(dataDir);
      const passphrase = 'four words of nobody';
      const seen = new Set<string>();
      for (let i = 0; i < 8; i++) {
        await killed('exchange', dataDir, i % 3, random.uniform() * 300);
        const protection = protectionOf(dataDir)!;
        seen.add(protection);
        expect([i, await flawsOf(dataDir, protection === 'passphrase' ? { passphrase } : {})]).toEqual([i, []]);
        if (protection === 'passphrase') setKeyFile(dataDir, { passphrase });
      }
      expect(seen.size).toBe(2);
    }),
  );
  it('while an older record is sealed: it goes on at the next opening', { timeout: 60_000 }, () =>
    withDir(async (dataDir) => {
      const db = openDatabase(join(dataDir, 'record.sqlite'), MIGRATIONS.slice(0, 3));
      const shas: string[] = [];
      for (let i = 0; i < 400; i++) {
        const bytes = bytesOf(`face ${i} ${'x'.repeat(50_000)}`);
        const sha256 = createHash('sha256').update(bytes).digest('hex');
        const path = join(dataDir, 'photos', sha256.slice(0, 2), sha256);
        await mkdir(dirname(path), { recursive: true });
        await writeFile(path, bytes);
        db.run('INSERT INTO photo VALUES (?, ?, ?, ?)', sha256, `${i}.jpg`, bytes.length, '2026-11-01T10:00:00.000Z');
        shas.push(sha256);
      }
      db.close();
      let stopped = 0;
      for (let i = 0; i < 6; i++) if (!(await killed('open', dataDir, 0, 10 + 60 * random.uniform())).includes('open')) stopped++;
      expect(stopped).toBeGreaterThan(1);
      expect(await flawsOf(dataDir)).toEqual([]);
      const record = openRecord({ dataDir });
      expect(await lacking(shas, async (sha256) => (await record.photoBytes(sha256)) !== null)).toEqual([]);
      await record.close();
    }),
  );
});
