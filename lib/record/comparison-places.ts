/** Where the files of a comparison lie: comparisons/<id>/. */
import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { idSchema } from '#shared/job.ts';

/** Throws when `id` is none, so that no path can be smuggled in. */
export const comparisonDir = (dataDir: string, id: string): string => join(dataDir, 'comparisons', idSchema.parse(id));

/** To be called after the transaction that dropped its row. */
export function dropComparisonFiles(dataDir: string, id: string): void {
  rmSync(comparisonDir(dataDir, id), { recursive: true, force: true });
}
