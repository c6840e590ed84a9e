/**
 * The form of a backup: a tar archive of one folder's record. Nothing in it is plain but what is plain in the record as well.
 *
 *   backup.json     who wrote it, and the data key wrapped by a passphrase: the bare key never leaves the machine
 *   record.sqlite   the tables as they were at one moment
 *   photos/..., comparisons/..., reports/...   sealed files as they lie
 *   audit-head      the newest line of the audit
 *   manifest.json   last: name, length and SHA-256 of every entry before it, with its own SHA-256 and a keyed digest over the same
 *
 * The manifest comes last so that the archive is written and read in one pass; an archive that was cut short has none.
 */
import { createHash } from 'node:crypto';
import { z } from 'zod';
import { canonicalJson } from '#shared/canonical-json.ts';
import { sha256Schema } from '#shared/job.ts';
import { keyringSchema } from './keyring.ts';
import { SEALED_FOLDERS } from './sealed-files.ts';
import type { Vault } from './vault.ts';

export const BACKUP_FORMAT = 1;
export const HEAD_NAME = 'backup.json';
export const TABLES_NAME = 'record.sqlite';
export const AUDIT_NAME = 'audit-head';
export const MANIFEST_NAME = 'manifest.json';
/** Bounds of what is read into memory from an archive that nobody vouches for yet. */
export const MOST_HEAD_BYTES = 65_536;
export const MOST_MANIFEST_BYTES = 512_000_000;

export const backupHeadSchema = z.strictObject({
  format: z.literal(BACKUP_FORMAT),
  madeAt: z.string(),
  program: z.string(),
  /** What the record was protected by; a restored one is again. */
  protection: z.enum(['key-file', 'passphrase']),
  keyring: keyringSchema,
});
export type BackupHead = z.infer<typeof backupHeadSchema>;

const entrySchema = z.strictObject({ name: z.string(), bytes: z.number().int().nonnegative(), sha256: sha256Schema });
export type ArchiveEntry = z.infer<typeof entrySchema>;
export const manifestSchema = z.strictObject({
  format: z.literal(BACKUP_FORMAT),
  entries: z.array(entrySchema),
  sha256: sha256Schema,
  mac: sha256Schema,
});
export type Manifest = z.infer<typeof manifestSchema>;

export function manifestOf(vault: Pick<Vault, 'fingerprint'>, entries: readonly ArchiveEntry[]): Manifest {
  const text = canonicalJson({ format: BACKUP_FORMAT, entries });
  return {
    format: BACKUP_FORMAT,
    entries: [...entries],
    sha256: createHash('sha256').update(text, 'utf8').digest('hex'),
    mac: vault.fingerprint(text, 'backup.manifest'),
  };
}

/** Whether an entry may be written under this name: a place of the record's own, and no way out of the folder. */
export function isEntryName(name: string): boolean {
  if (name === TABLES_NAME || name === AUDIT_NAME) return true;
  const [folder, ...parts] = name.split('/');
  return (
    (SEALED_FOLDERS as readonly string[]).includes(folder!) &&
    parts.length >= 1 &&
    parts.length <= 3 &&
    // Begins with no dot, so neither `.` nor `..`; no backslash, colon or control character for any system to read as more.
    parts.every((part) => /^[A-Za-z0-9][A-Za-z0-9._-]{0,200}$/.test(part))
  );
}
