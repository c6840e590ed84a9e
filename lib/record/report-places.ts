/** Where the PDF of a report lies: reports/ab/ab12..., sealed, addressed by the SHA-256 of the plain PDF. */
import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { sha256Schema } from '#shared/job.ts';
import type { Database } from './database.ts';

/** Throws when `sha256` is none. */
export function reportPlace(dataDir: string, sha256: string): string {
  const checked = sha256Schema.parse(sha256);
  return join(dataDir, 'reports', checked.slice(0, 2), checked);
}

/** Takes the file away unless another report has the same bytes. True when it went. To be called after the transaction that dropped its row. */
export function dropReportFile(db: Database, dataDir: string, sha256: string): boolean {
  return db.transaction(() => {
    if (db.get('SELECT 1 FROM case_report WHERE sha256 = ?', sha256)) return false;
    rmSync(reportPlace(dataDir, sha256), { force: true });
    return true;
  });
}
