/** The look at a record after a crash finds what it is there to find. */
import { appendFile, readdir, readFile, rm, truncate, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { describe, expect, it } from 'vitest';
import { openRecord } from '#lib/record/open.ts';
import { bytesOf, compareRequest, withDir } from '#tests/record/sample-jobs.ts';
import { sampleComparison } from '#tests/report/sample-comparison.ts';
import { flawsOf } from './whole.ts';

const FILES = ['frontal.before.jpg', 'frontal.after-relit.jpg', 'report.html', 'table.csv'].map((name) => ({ name, bytes: bytesOf(name) }));

/** A record with two photographs, a comparison and two lines of audit; then spoilt; what is found. */
const spoilt = (spoil: (dataDir: string, photo: string, comparison: string) => Promise<void> | void): Promise<string[]> =>
  withDir(async (dataDir) => {
    const record = openRecord({ dataDir });
    const [b, a] = [await record.addPhoto(bytesOf('before'), 'b.jpg'), await record.addPhoto(bytesOf('after'), 'a.jpg')];
    if (!b.ok || !a.ok) throw new Error('not taken');
    const id = await record.enqueue(compareRequest(b.value.sha256, a.value.sha256));
    await record.claim('r');
    await record.finishCompare(id, 'r', sampleComparison(), FILES);
    for (const code of ['C-1', 'C-2']) await record.casesAs('me').addCase({ code, name: null, birthYear: null, note: '' });
    await record.close();
    const sha256 = b.value.sha256;
    await spoil(dataDir, join(dataDir, 'photos', sha256.slice(0, 2), sha256), join(dataDir, 'comparisons', id));
    return flawsOf(dataDir);
  });

const inTables = (dataDir: string, sql: string): void => {
  const db = new DatabaseSync(join(dataDir, 'record.sqlite'));
  db.exec(sql);
  db.close();
};

describe('law', () => {
  it('finds nothing in a record that is whole', async () => {
    expect(await spoilt(() => undefined)).toEqual([]);
  });
  it('finds a photograph that is missing, cut, longer or changed', async () => {
    expect(await spoilt((_, photo) => rm(photo))).toEqual([expect.stringContaining('no file')]);
    for (const spoil of [
      (photo: string) => truncate(photo, 36),
      (photo: string) => truncate(photo, 0),
      (photo: string) => appendFile(photo, 'x'),
      async (photo: string) =>
        writeFile(
          photo,
          (await readFile(photo)).map((byte, i) => (i === 20 ? byte ^ 1 : byte)),
        ),
    ])
      expect(await spoilt((_, photo) => spoil(photo))).toEqual([expect.stringContaining('damaged')]);
  });
  it('finds a comparison with a file missing or cut, or without its job', async () => {
    expect(await spoilt((_, __, comparison) => rm(join(comparison, 'table.csv')))).toEqual([expect.stringContaining('3 files')]);
    expect(await spoilt((_, __, comparison) => truncate(join(comparison, 'table.csv'), 34))).toEqual([
      expect.stringContaining('table.csv'),
    ]);
    expect(await spoilt((dataDir) => inTables(dataDir, 'DELETE FROM comparison'))).toEqual([expect.stringContaining('left no comparison')]);
    expect(
      await spoilt((dataDir) => inTables(dataDir, `PRAGMA foreign_keys = OFF; DELETE FROM job WHERE kind = 'compare'`)),
    ).toContainEqual(expect.stringContaining('refers to nothing'));
  });
  it('finds lines of the audit that are gone', async () => {
    const found = await spoilt((dataDir) =>
      inTables(dataDir, 'DROP TRIGGER audit_stays; DELETE FROM audit WHERE n = (SELECT max(n) FROM audit)'),
    );
    expect(found).toEqual([expect.stringContaining('audit')]);
  });
  it('sweeps what has no row, and what is half written', () =>
    withDir(async (dataDir) => {
      const record = openRecord({ dataDir });
      const added = await record.addPhoto(bytesOf('x'), 'x.jpg');
      if (!added.ok) throw new Error(added.detail);
      await record.close();
      inTables(dataDir, 'DELETE FROM photo');
      await writeFile(join(dataDir, 'photos', '.unfinished-x'), 'half');
      expect(await flawsOf(dataDir)).toEqual([]);
      const left = await readdir(join(dataDir, 'photos'), { recursive: true, withFileTypes: true });
      expect(left.filter((entry) => entry.isFile())).toEqual([]);
    }));
});
