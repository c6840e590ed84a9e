/** A record of before the vault, sealed when it is opened, wherever a former attempt stopped. */
import { createHash } from 'node:crypto';
import { mkdir, readdir, readFile, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openDatabase } from '#lib/record/database.ts';
import { MIGRATIONS } from '#lib/record/migrations.ts';
import { openRecord } from '#lib/record/open.ts';
import { setPassphrase } from '#lib/record/unlock.ts';
import { canonicalJson } from '#shared/canonical-json.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';
import { sampleComparison } from '#tests/report/sample-comparison.ts';
import { bytesOf, checkRequest, compareRequest, photoCheck, withDir } from './sample-jobs.ts';

/** Steps that were taken before there was a vault. */
const OLD_STEPS = 3;
const [CHECK, COMPARE] = ['c'.repeat(32), 'd'.repeat(32)];
const sha256Of = (bytes: Uint8Array | string): string => createHash('sha256').update(bytes).digest('hex');
const FACES = ['Jane Doe before', 'Jane Doe after', 'EBSL\u0001 looks sealed and is not, but is a file all the same', ''].map((text) =>
  bytesOf(text || 'x'.repeat(3_000_000)),
);

/** Writes what the former program would have: rows and files, all plain. */
async function oldRecord(dataDir: string): Promise<string[]> {
  const db = openDatabase(join(dataDir, 'record.sqlite'), MIGRATIONS.slice(0, OLD_STEPS));
  const put = async (path: string, bytes: Uint8Array): Promise<void> => {
    await mkdir(dirname(join(dataDir, path)), { recursive: true });
    await writeFile(join(dataDir, path), bytes);
  };
  const shas = FACES.map(sha256Of);
  const at = '2026-11-01T10:00:00.000Z';
  for (const [i, sha256] of shas.entries()) {
    db.run('INSERT INTO photo VALUES (?, ?, ?, ?)', sha256, `Jane Doe ${i}.jpg`, FACES[i]!.length, at);
    await put(`photos/${sha256.slice(0, 2)}/${sha256}`, FACES[i]!);
  }
  await put(`photos/${shas[0]!.slice(0, 2)}/${shas[0]}.preview.jpg`, bytesOf('small Jane'));
  const jobs = [
    { id: CHECK, kind: 'check', request: checkRequest(shas[0]!, 'Jane Doe 0.jpg'), result: canonicalJson(photoCheck(shas[0]!)) },
    { id: COMPARE, kind: 'compare', request: { ...compareRequest(shas[0]!, shas[1]!), title: 'Jane, March' }, result: null },
  ];
  for (const { id, kind, request, result } of jobs) {
    db.run(
      `INSERT INTO job (id, kind, state, request, digest, result, created_at, ended_at, fraction) VALUES (?, ?, 'done', ?, ?, ?, ?, ?, 1)`,
      id,
      kind,
      canonicalJson(request),
      sha256Of(canonicalJson({ request, version: EBBLINE_VERSION })),
      result,
      at,
      at,
    );
    db.run('INSERT INTO job_photo VALUES (?, ?)', id, shas[0]!);
  }
  db.run(
    `INSERT INTO job (id, kind, state, request, digest, fault, created_at) VALUES (?, 'check', 'failed', ?, ?, ?, ?)`,
    'e'.repeat(32),
    canonicalJson(checkRequest(shas[1]!)),
    `${'0'.repeat(64)}:${'e'.repeat(32)}`,
    canonicalJson({ code: 'no-face', message: 'No face in Jane Doe 1.jpg.', photo: shas[1]! }),
    at,
  );
  db.run(
    'INSERT INTO comparison VALUES (?, ?, 0, ?, 1, 0, 0, ?, ?)',
    COMPARE,
    'Jane, March',
    at,
    '["frontal"]',
    canonicalJson(sampleComparison()),
  );
  await put(`comparisons/${COMPARE}/report.html`, bytesOf('<p>Jane'));
  db.close();
  return shas;
}

async function looksRight(dataDir: string, shas: readonly string[]): Promise<void> {
  const record = openRecord({ dataDir });
  for (const [i, sha256] of shas.entries()) {
    expect((await record.photo(sha256))?.name).toBe(`Jane Doe ${i}.jpg`);
    expect(Buffer.from((await record.photoBytes(sha256))!).equals(Buffer.from(FACES[i]!))).toBe(true);
  }
  expect(new TextDecoder().decode((await record.preview(shas[0]!))!)).toBe('small Jane');
  expect((await record.comparison(COMPARE))?.title).toBe('Jane, March');
  expect((await record.listComparisons())[0]?.title).toBe('Jane, March');
  expect(new TextDecoder().decode((await record.plateFile(COMPARE, 'report.html'))!)).toBe('<p>Jane');
  expect((await record.checkResult(CHECK))?.sha256).toBe(shas[0]);
  expect((await record.job('e'.repeat(32)))?.fault?.message).toBe('No face in Jane Doe 1.jpg.');
  // A request that was answered before is answered by the same job.
  expect(await record.enqueue(checkRequest(shas[0]!, 'Jane Doe 0.jpg'))).toBe(CHECK);
  await record.close();
}

async function plainFiles(dataDir: string): Promise<string[]> {
  const entries = (await readdir(dataDir, { recursive: true, withFileTypes: true })).filter((entry) => entry.isFile());
  const plain: string[] = [];
  for (const entry of entries) {
    const path = join(entry.parentPath, entry.name);
    if (/Jane|looks sealed|xxxxxxxx/.test((await readFile(path)).toString('latin1'))) plain.push(path.slice(dataDir.length));
  }
  return plain;
}

describe('law', () => {
  it('everything is sealed, nothing is lost, and no name is left in any file', () =>
    withDir(async (dataDir) => {
      const shas = await oldRecord(dataDir);
      expect((await plainFiles(dataDir)).length).toBeGreaterThan(4);
      await looksRight(dataDir, shas);
      expect(await plainFiles(dataDir)).toEqual([]);
    }));
  it('goes on where it was stopped: rows done and some files, none of them twice', () =>
    withDir(async (dataDir) => {
      const shas = await oldRecord(dataDir);
      const plain = join(dataDir, 'photos', shas[1]!.slice(0, 2), shas[1]!);
      const kept = await readFile(plain);
      await looksRight(dataDir, shas);
      // As if it had been stopped before the last file.
      await writeFile(plain, kept);
      const db = openDatabase(join(dataDir, 'record.sqlite'));
      db.run('UPDATE vault SET files_sealed_at = NULL');
      db.close();
      const sealed = await readFile(join(dataDir, 'photos', shas[0]!.slice(0, 2), shas[0]!));
      await looksRight(dataDir, shas);
      expect(await readFile(join(dataDir, 'photos', shas[0]!.slice(0, 2), shas[0]!))).toEqual(sealed);
      expect(await plainFiles(dataDir)).toEqual([]);
    }));
  it('two at once do no harm, and a passphrase may follow', () =>
    withDir(async (dataDir) => {
      const shas = await oldRecord(dataDir);
      await Promise.all([looksRight(dataDir, shas), looksRight(dataDir, shas)]);
      setPassphrase(dataDir, {}, 'four words of nobody');
      const record = openRecord({ dataDir, passphrase: 'four words of nobody' });
      expect((await record.photoBytes(shas[3]!))?.length).toBe(3_000_000);
      await record.close();
    }));
  it('a new record has nothing to seal and says so at once', () =>
    withDir(async (dataDir) => {
      await openRecord({ dataDir }).close();
      const db = openDatabase(join(dataDir, 'record.sqlite'));
      expect(db.get('SELECT rows_sealed_at IS NOT NULL AND files_sealed_at IS NOT NULL AS done FROM vault')).toEqual({ done: 1 });
      db.close();
    }));
});
