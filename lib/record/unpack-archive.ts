/**
 * Reads an archive in one pass: each file is written out and hashed, and the manifest at its end says whether it was as it should be.
 * Names that lead out of the folder, links, and files that a record does not have are refused before anything is written for them.
 */
import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { stat } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { extract } from 'tar-stream';
import { found, type Outcome, type Refusal, refused } from '#shared/outcome.ts';
import {
  type ArchiveEntry,
  BACKUP_FORMAT,
  type BackupHead,
  backupHeadSchema,
  HEAD_NAME,
  isEntryName,
  MANIFEST_NAME,
  MOST_HEAD_BYTES,
  MOST_MANIFEST_BYTES,
  manifestOf,
  manifestSchema,
  TABLES_NAME,
} from './archive-format.ts';
import { createPrivate, makePrivateDir } from './files.ts';
import { unwrapByPassphrase } from './keyring.ts';
import { makeVault, type Protection } from './vault.ts';

export type RestoreFault =
  | 'not-empty'
  | 'unreadable'
  | 'not-a-backup'
  | 'newer'
  | 'wrong-passphrase'
  | 'altered'
  | 'no-room'
  | 'not-writable';

export type Unpacked = Readonly<{ head: BackupHead; dataKey: Uint8Array; files: number }>;

export const altered = (what: string): Refusal<RestoreFault> =>
  refused('altered', `The archive is damaged or was changed: ${what}. Nothing was restored; use another copy of it.`);
const notABackup = (file: string): Refusal<RestoreFault> =>
  refused('not-a-backup', `${file} is no backup made by Ebbline. Name the file that "ebbline backup" wrote.`);

/** Carries a refusal out of the walk through the archive. */
class Refused extends Error {
  readonly refusal: Refusal<RestoreFault>;

  constructor(refusal: Refusal<RestoreFault>) {
    super(refusal.detail);
    this.refusal = refusal;
  }
}

/** Writes the archive's files into `aside`, and says what they were sealed with. Nothing of it may be used after a refusal. */
export async function unpackArchive(
  file: string,
  aside: string,
  passphrase: () => Promise<string>,
): Promise<Outcome<Unpacked, RestoreFault>> {
  const facts = await stat(file).catch(() => null);
  if (!facts?.isFile()) return refused('unreadable', `${file} is not there, or is no file. Name the file that "ebbline backup" wrote.`);
  const archive = extract();
  const source = createReadStream(file);
  source.on('error', (error) => archive.destroy(error));
  source.pipe(archive);
  const entries: ArchiveEntry[] = [];
  const names = new Set<string>();
  let head: BackupHead | null = null;
  let dataKey: Uint8Array | null = null;
  let ended = false;
  try {
    for await (const entry of archive) {
      const { name, type, size = 0 } = entry.header;
      if (head === null) {
        if (name !== HEAD_NAME || type !== 'file' || size > MOST_HEAD_BYTES) return notABackup(file);
        const bytes = await wholeOf(entry, MOST_HEAD_BYTES);
        head = parseHead(file, bytes);
        if (head.keyring.protection !== 'passphrase') return notABackup(file);
        dataKey = unwrapByPassphrase(head.keyring, await passphrase());
        if (!dataKey) return refused('wrong-passphrase', 'That is not the passphrase of this archive. Nothing was restored.');
        entries.push({ name, bytes: bytes.length, sha256: createHash('sha256').update(bytes).digest('hex') });
      } else if (ended) return altered('something follows its manifest');
      else if (name === MANIFEST_NAME && type === 'file') {
        if (size > MOST_MANIFEST_BYTES) return altered('its manifest is too large to be one');
        checkManifest(await wholeOf(entry, MOST_MANIFEST_BYTES), entries, dataKey!, head.protection);
        ended = true;
      } else {
        if (type !== 'file') return altered('it holds something that is no plain file');
        if (!isEntryName(name)) return altered('it holds a file that is none of a record');
        if (names.has(name)) return altered('it holds a file twice');
        names.add(name);
        entries.push({ name, ...(await writeOut(entry, join(aside, name))) });
      }
    }
  } catch (error) {
    if (error instanceof Refused) return error.refusal;
    // The tar reader's own words for what is no archive, and for one that ends too soon.
    if (error instanceof Error && /Invalid tar header|checksum/i.test(error.message))
      return head ? altered('it cannot be read to its end') : notABackup(file);
    if (error instanceof Error && /Unexpected end|Premature close/i.test(error.message))
      return head ? altered('it ends too soon') : notABackup(file);
    throw error;
  } finally {
    source.destroy();
    archive.destroy();
  }
  if (!head || !dataKey) return notABackup(file);
  if (!ended) return altered('it ends too soon');
  if (!names.has(TABLES_NAME)) return altered('its tables are missing');
  return found({ head, dataKey, files: entries.length - 1 });
}

function parseHead(file: string, bytes: Uint8Array): BackupHead {
  const json = jsonOf(bytes) as { format?: unknown } | null;
  if (typeof json?.format === 'number' && json.format > BACKUP_FORMAT)
    throw new Refused(refused('newer', 'This archive was written by a later version of Ebbline. Restore it with that version.'));
  const parsed = backupHeadSchema.safeParse(json);
  if (!parsed.success) throw new Refused(notABackup(file));
  return parsed.data;
}

function checkManifest(bytes: Uint8Array, entries: readonly ArchiveEntry[], dataKey: Uint8Array, protection: Protection): void {
  const parsed = manifestSchema.safeParse(jsonOf(bytes));
  if (!parsed.success) throw new Refused(altered('its manifest cannot be read'));
  const said = parsed.data;
  const seen = manifestOf(makeVault(dataKey, protection), entries);
  if (said.sha256 === seen.sha256 && said.mac === seen.mac) return;
  const byName = new Map(said.entries.map((entry) => [entry.name, entry]));
  const wrong = entries.find(
    ({ name, sha256, bytes: length }) => byName.get(name)?.sha256 !== sha256 || byName.get(name)?.bytes !== length,
  );
  throw new Refused(
    altered(
      wrong
        ? `${wrong.name} is not as it was written`
        : entries.length < said.entries.length
          ? 'files are missing'
          : 'its manifest is not the one that was written',
    ),
  );
}

const jsonOf = (bytes: Uint8Array): unknown => {
  try {
    return JSON.parse(new TextDecoder().decode(bytes));
  } catch {
    return null;
  }
};

async function wholeOf(chunks: AsyncIterable<unknown>, most: number): Promise<Uint8Array> {
  const parts: Uint8Array[] = [];
  let length = 0;
  for await (const chunk of chunks) {
    const part = chunk as Uint8Array;
    length += part.length;
    if (length > most) throw new Refused(altered('one of its lists is too long'));
    parts.push(part);
  }
  return Buffer.concat(parts);
}

async function writeOut(chunks: AsyncIterable<unknown>, path: string): Promise<{ bytes: number; sha256: string }> {
  await makePrivateDir(dirname(path));
  const hash = createHash('sha256');
  let bytes = 0;
  const handle = await createPrivate(path);
  try {
    for await (const piece of chunks) {
      const chunk = piece as Uint8Array;
      hash.update(chunk);
      bytes += chunk.length;
      await handle.writeFile(chunk);
    }
    await handle.sync();
  } finally {
    await handle.close();
  }
  return { bytes, sha256: hash.digest('hex') };
}
