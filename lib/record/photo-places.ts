/** Where the files of a photograph lie: photos/ab/ab12..., and beside it the small upright picture made of it. */
import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { sha256Schema } from '#shared/job.ts';

export const photosDir = (dataDir: string): string => join(dataDir, 'photos');

/** Throws when `sha256` is none, so that no path can be smuggled in. */
export function placeOf(dataDir: string, sha256: string): string {
  const checked = sha256Schema.parse(sha256);
  return join(photosDir(dataDir), checked.slice(0, 2), checked);
}

export const previewOf = (dataDir: string, sha256: string): string => `${placeOf(dataDir, sha256)}.preview.jpg`;

/** Synchronous on purpose: it runs inside a transaction, which keeps the same photograph from coming back meanwhile. */
export function dropPhotoFiles(dataDir: string, sha256: string): void {
  rmSync(placeOf(dataDir, sha256), { force: true });
  rmSync(previewOf(dataDir, sha256), { force: true });
}
