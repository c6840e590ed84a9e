/**
 * Clears away what a crash left: what is half written, once a day has passed, which is longer than any upload or measurement takes; and
 * whole files without a row, at once, since both only ever change under the same lock.
 */
import { globSync, rmSync } from 'node:fs';
import { glob, rm, stat } from 'node:fs/promises';
import { basename, join } from 'node:path';
import type { Database } from './database.ts';
import { UNFINISHED } from './files.ts';
import { dropOrphan } from './photo-shelf.ts';
import { dropReportFile } from './report-places.ts';

const DAY_MS = 86_400_000;

/** How many were removed. What vanishes meanwhile is somebody else's finished work. */
export async function sweepUnfinished(dataDir: string, olderThanMs: number = DAY_MS): Promise<number> {
  let removed = 0;
  const halves = [`${UNFINISHED}*`, `{photos,comparisons}/${UNFINISHED}*`, `{photos,reports}/*/${UNFINISHED}*`];
  for await (const name of glob(halves, { cwd: dataDir })) {
    const path = join(dataDir, name);
    const facts = await stat(path).catch(() => null);
    if (!facts || facts.mtimeMs > Date.now() - olderThanMs) continue;
    await rm(path, { recursive: true, force: true });
    removed++;
  }
  return removed;
}

/** How many photographs, comparisons, series and reports were removed that no row knows. */
export function sweepOrphans(db: Database, dataDir: string): number {
  const photos = new Set(
    globSync('photos/*/*', { cwd: dataDir })
      .map((path) => basename(path).slice(0, 64))
      .filter((name) => /^[0-9a-f]{64}$/.test(name)),
  );
  const removedPhotos = [...photos].filter(
    (sha256) => !db.get('SELECT 1 FROM photo WHERE sha256 = ?', sha256) && dropOrphan(db, dataDir, sha256),
  );
  const known = (id: string): boolean => db.get('SELECT 1 FROM comparison WHERE id = ?', id) !== undefined;
  const comparisons = globSync('comparisons/*', { cwd: dataDir }).map((path) => basename(path));
  const removedComparisons = comparisons.filter(
    (id) =>
      /^[0-9a-f]{32}$/.test(id) &&
      !known(id) &&
      db.transaction(() => {
        if (known(id)) return false;
        rmSync(join(dataDir, 'comparisons', id), { recursive: true, force: true });
        return true;
      }),
  );
  const series = globSync('series/*', { cwd: dataDir }).map((path) => basename(path));
  const knownSeries = (id: string): boolean => db.get('SELECT 1 FROM series WHERE id = ?', id) !== undefined;
  const removedSeries = series.filter((id) => /^[0-9a-f]{32}$/.test(id) && !knownSeries(id));
  for (const id of removedSeries) rmSync(join(dataDir, 'series', id), { recursive: true, force: true });
  const reports = globSync('reports/*/*', { cwd: dataDir }).map((path) => basename(path));
  const removedReports = reports.filter((sha256) => /^[0-9a-f]{64}$/.test(sha256) && dropReportFile(db, dataDir, sha256));
  return removedPhotos.length + removedComparisons.length + removedSeries.length + removedReports.length;
}
