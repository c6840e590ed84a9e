/**
 * Comparisons: the JSON in the tables, plates and reports as files under comparisons/<id>/, all of it sealed.
 * The files are in place before the job is done, so whoever sees it done finds them all.
 */
import { renameSync, rmSync } from 'node:fs';
import { readdir, rm } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { canonicalJson } from '#shared/canonical-json.ts';
import { type Comparison, comparisonSchema, viewSchema } from '#shared/comparison.ts';
import { FIELD_FILE_NAMES } from '#shared/field.ts';
import { compareRequestSchema, idSchema } from '#shared/job.ts';
import { PLATE_FILE } from '#shared/plates.ts';
import type { Database, Row } from './database.ts';
import { errorCode, flushDir, makePrivateDir, unfinishedName } from './files.ts';
import { now } from './now.ts';
import { forgetPhoto } from './photo-shelf.ts';
import { comparisonFilePurpose, comparisonPurpose, jobPurpose } from './purposes.ts';
import { readSealed, writeSealed } from './sealed-files.ts';
import { type ComparisonShelf, type ComparisonSummary, type JobDesk, REPORT_FILES, type StoredComparison } from './types.ts';
import { type Vault, VaultError } from './vault.ts';

const isFileOfComparison = (name: string): boolean =>
  PLATE_FILE.test(name) || FIELD_FILE_NAMES.includes(name) || (REPORT_FILES as readonly string[]).includes(name);
const SUMMARY = 'id, title, demo, created_at, comparable, beyond_error, assessed, views';

type Shelf = ComparisonShelf & Pick<JobDesk, 'finishCompare'>;

export function openComparisonShelf(db: Database, dataDir: string, vault: Vault): Shelf {
  const dirOf = (id: string): string => join(dataDir, 'comparisons', idSchema.parse(id));

  return {
    finishCompare: async (id, runner, measured, files) => {
      const comparison = comparisonSchema.parse(measured);
      const strange = files.find((file) => !isFileOfComparison(file.name));
      if (strange) throw new RangeError(`${strange.name} is not a name of a comparison's file`);
      const dir = dirOf(id);
      const unfinished = unfinishedName(dir);
      await makePrivateDir(unfinished);
      try {
        for (const file of files) await writeSealed(vault, join(unfinished, file.name), file.bytes, comparisonFilePurpose(id, file.name));
        const held = () => db.get(`SELECT request FROM job WHERE id = ? AND kind = 'compare' AND runner = ?`, id, runner);
        if (!held()) return false;
        // Files and rows change under one lock, as those of photographs do.
        const done = db.transaction(() => {
          const row = held();
          if (!row) return false;
          rmSync(dir, { recursive: true, force: true });
          renameSync(unfinished, dir);
          insert(
            db,
            vault,
            id,
            comparison,
            compareRequestSchema.parse(JSON.parse(vault.openText(String(row.request), jobPurpose('request', id)))),
          );
          db.run(`UPDATE job SET state = 'done', runner = NULL, fraction = 1, ended_at = ? WHERE id = ?`, now(), id);
          return true;
        });
        await flushDir(dirname(dir));
        return done;
      } finally {
        await rm(unfinished, { recursive: true, force: true });
      }
    },
    comparison: async (id) => {
      const row = db.get(
        `SELECT comparison.*, job.request AS request FROM comparison JOIN job ON job.id = comparison.id WHERE comparison.id = ?`,
        id,
      );
      return row ? storedOf(vault, row) : null;
    },
    listComparisons: async ({ limit = 200, demo } = {}) =>
      db
        .all(
          `SELECT ${SUMMARY} FROM comparison WHERE (? IS NULL OR demo = ?) ORDER BY created_at DESC, id LIMIT ?`,
          demo === undefined ? null : Number(demo),
          demo === undefined ? null : Number(demo),
          limit,
        )
        .map((row) => summaryOf(vault, row)),
    plateFile: async (id, name) =>
      idSchema.safeParse(id).success && isFileOfComparison(name)
        ? readSealed(vault, join(dirOf(id), name), comparisonFilePurpose(id, name)).catch(asFile(name))
        : null,
    plateFiles: async (id) => {
      if (!idSchema.safeParse(id).success) return [];
      const names = await readdir(dirOf(id)).catch((error) => {
        if (errorCode(error) === 'ENOENT') return [];
        throw error;
      });
      return names.filter(isFileOfComparison).sort();
    },
    removeComparison: async (id) => {
      const gone = db.transaction(() => {
        const photos = db.all('SELECT sha256 FROM job_photo WHERE job = ?', id).map((row) => String(row.sha256));
        if (db.run('DELETE FROM comparison WHERE id = ?', id) === 0) return false;
        db.run('DELETE FROM job WHERE id = ?', id);
        for (const sha256 of photos) forgetPhoto(db, dataDir, sha256);
        return true;
      });
      if (gone) await rm(dirOf(id), { recursive: true, force: true });
      return gone;
    },
  };
}

/** Says of damage which file it is in. */
const asFile =
  (name: string) =>
  (error: unknown): never => {
    if (!(error instanceof VaultError && error.code === 'damaged')) throw error;
    throw new VaultError(
      'damaged',
      `The file ${name} of this comparison is damaged: it is not as it was written. Measure the comparison again, or restore a backup; everything else can still be used.`,
    );
  };

function insert(db: Database, vault: Vault, id: string, comparison: Comparison, request: StoredComparison['request']): void {
  const assessed = comparison.zones.filter((zone) => zone.assessable);
  db.run(
    `INSERT INTO comparison (${SUMMARY}, comparison) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
    id,
    vault.sealText(request.title, comparisonPurpose('title', id)),
    Number(request.demo ?? false),
    now(),
    Number(comparison.gate.comparable),
    assessed.filter((zone) => zone.finding === 'beyond-error').length,
    assessed.length,
    canonicalJson([...new Set(comparison.inputs.map((input) => input.view))]),
    vault.sealText(canonicalJson(comparison), comparisonPurpose('comparison', id)),
  );
}

const summaryOf = (vault: Vault, row: Row): ComparisonSummary => ({
  id: String(row.id),
  title: vault.openText(String(row.title), comparisonPurpose('title', String(row.id))),
  demo: row.demo === 1,
  createdAt: String(row.created_at),
  comparable: row.comparable === 1,
  beyondError: Number(row.beyond_error),
  assessed: Number(row.assessed),
  views: viewSchema.array().parse(JSON.parse(String(row.views))),
});

const storedOf = (vault: Vault, row: Row): StoredComparison => {
  const id = String(row.id);
  return {
    ...summaryOf(vault, row),
    comparison: comparisonSchema.parse(JSON.parse(vault.openText(String(row.comparison), comparisonPurpose('comparison', id)))),
    request: compareRequestSchema.parse(JSON.parse(vault.openText(String(row.request), jobPurpose('request', id)))),
  };
};
