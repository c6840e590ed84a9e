/** Whether a record is whole: everything that a crash may have spoilt, looked at. An empty list is the answer hoped for. */
import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { openRecord } from '#lib/record/open.ts';
import type { VaultKey } from '#lib/record/open-vault.ts';
import { sweepUnfinished } from '#lib/record/sweep.ts';

const problem = (what: string, error: unknown): string => `${what}: ${error instanceof Error ? error.message : error}`;

/** Opens the record, sweeps it as the runner does at its start, and reads all of it. */
export async function flawsOf(dataDir: string, given: VaultKey = {}): Promise<string[]> {
  const flaws: string[] = [];
  const record = openRecord({ dataDir, ...given });
  const db = new DatabaseSync(join(dataDir, 'record.sqlite'));
  const column = (sql: string): string[] => (db.prepare(sql).all() as Record<string, string>[]).map((row) => String(Object.values(row)[0]));
  try {
    for (const line of column('PRAGMA integrity_check')) if (line !== 'ok') flaws.push(`tables: ${line}`);
    if (db.prepare('PRAGMA foreign_key_check').all().length > 0) flaws.push('tables: a row refers to nothing');
    await record.sweep();
    await sweepUnfinished(dataDir, -60_000);

    const photos = column('SELECT sha256 FROM photo');
    for (const sha256 of photos) {
      // Throws unless the whole file opens and its content has this very address.
      const bytes = await record.photoBytes(sha256).catch((error) => problem(sha256, error));
      if (bytes === null) flaws.push(`photograph ${sha256} has a row and no file`);
      else if (typeof bytes === 'string') flaws.push(`photograph ${bytes}`);
      await record.preview(sha256).catch((error) => flaws.push(problem(`preview ${sha256}`, error)));
    }
    for (const id of column('SELECT id FROM comparison')) {
      const names = await record.plateFiles(id);
      if (names.length < 4) flaws.push(`comparison ${id} has ${names.length} files`);
      for (const name of names) await record.plateFile(id, name).catch((error) => flaws.push(problem(`${id}/${name}`, error)));
      if ((await record.job(id))?.state !== 'done') flaws.push(`comparison ${id} of a job that is not done`);
    }
    for (const id of column(`SELECT id FROM job WHERE kind = 'compare' AND state = 'done'`))
      if (!(await record.comparison(id))) flaws.push(`job ${id} is done and left no comparison`);
    const book = record.casesAs('examiner');
    for (const id of column('SELECT id FROM case_report'))
      if (!(await book.reportPdf(id).catch(() => null))) flaws.push(`report ${id} has a row and no PDF that opens`);
    for (const { id } of await book.listCases()) await book.caseFile(id).catch((error) => flaws.push(problem(`case ${id}`, error)));

    const audit = await record.audit.verify();
    if (!audit.ok) flaws.push(`audit: ${audit.why}`);
    const known = new Set([...photos, ...column('SELECT id FROM comparison'), ...column('SELECT sha256 FROM case_report')]);
    for (const entry of readdirSync(dataDir, { recursive: true, withFileTypes: true })) {
      const path = join(entry.parentPath, entry.name).slice(dataDir.length + 1);
      if (entry.name.startsWith('.')) flaws.push(`left half-written: ${path}`);
      const [folder, group, file] = path.split('/');
      if (!entry.isFile() || file === undefined) continue;
      const owner = folder === 'comparisons' ? group! : file.slice(0, 64);
      if (!known.has(owner)) flaws.push(`left without a row: ${path}`);
    }
  } finally {
    db.close();
    await record.close();
  }
  return flaws;
}
