/**
 * Photographs, byte for byte as they came, addressed by the SHA-256 of their bytes and sealed on the disk. What is on the shelf is
 * never edited.
 */
import { createHash } from 'node:crypto';
import { renameSync } from 'node:fs';
import { rm } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { sha256Schema } from '#shared/job.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import type { Database, Row } from './database.ts';
import { createPrivate, flushDir, isNoRoom, makePrivateDir, unfinishedName } from './files.ts';
import { now } from './now.ts';
import { dropPhotoFiles, photosDir, placeOf, previewOf } from './photo-places.ts';
import { PHOTO, photoNamePurpose, previewPurpose } from './purposes.ts';
import { beginSeal } from './seal-format.ts';
import { readSealed, writeSealed } from './sealed-files.ts';
import type { PhotoShelf, ShelfFault, StoredPhoto } from './types.ts';
import { type Vault, VaultError } from './vault.ts';

/** Largest file taken; a 100 megapixel 16-bit TIFF has 600 MB. */
export const MOST_PHOTO_BYTES = 600_000_000;

export function openPhotoShelf(db: Database, dataDir: string, vault: Vault): PhotoShelf {
  const addPhotoStream: PhotoShelf['addPhotoStream'] = async (chunks, name, mostBytes = MOST_PHOTO_BYTES) => {
    const incoming = unfinishedName(join(photosDir(dataDir), 'incoming'));
    // A file that is in place while its row could not be written, for want of room, is taken away again.
    let placed: string | null = null;
    try {
      await makePrivateDir(dirname(incoming));
      const came = await takeIn(vault, chunks, incoming, name, mostBytes);
      if (!came.ok) return came;
      const { sha256, bytes } = came.value;
      const place = placeOf(dataDir, sha256);
      await makePrivateDir(dirname(place));
      // File and row change under one lock, so that a removal at the same moment cannot leave a row without its file.
      db.transaction(() => {
        renameSync(incoming, place);
        placed = sha256;
        db.run(
          'INSERT INTO photo (sha256, name, bytes, added_at) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING',
          sha256,
          vault.sealText(name, photoNamePurpose(sha256)),
          bytes,
          now(),
        );
      });
      placed = null;
      await flushDir(dirname(place));
      return found(photoOf(vault, db.get('SELECT * FROM photo WHERE sha256 = ?', sha256)!));
    } catch (error) {
      if (placed !== null) dropOrphan(db, dataDir, placed);
      if (isNoRoom(error)) return refused('no-room', `There is no room left on the disk for ${name}. Free some space and add it again.`);
      throw error;
    } finally {
      await rm(incoming, { force: true });
    }
  };

  return {
    addPhotoStream,
    addPhoto: (bytes, name) => addPhotoStream(single(bytes), name),
    photo: async (sha256) => {
      const row = db.get('SELECT * FROM photo WHERE sha256 = ?', sha256);
      return row ? photoOf(vault, row) : null;
    },
    photoBytes: async (sha256) => {
      if (!isSha256(sha256)) return null;
      const bytes = await readSealed(vault, placeOf(dataDir, sha256), PHOTO).catch(asPhoto(sha256));
      if (bytes && createHash('sha256').update(bytes).digest('hex') !== sha256) throw damagedPhoto(sha256);
      return bytes;
    },
    preview: async (sha256) =>
      isSha256(sha256) ? readSealed(vault, previewOf(dataDir, sha256), previewPurpose(sha256)).catch(asPhoto(sha256)) : null,
    putPreview: async (sha256, jpeg) => {
      if (!db.get('SELECT 1 FROM photo WHERE sha256 = ?', sha256)) return;
      await writeSealed(vault, previewOf(dataDir, sha256), jpeg, previewPurpose(sha256));
    },
    removePhoto: async (sha256) => db.transaction(() => forgetPhoto(db, dataDir, sha256)),
  };
}

/**
 * Takes a photograph, its files and its checks away, unless a case, a series, a comparison or an unfinished job uses it.
 * To be called inside a transaction.
 */
export function forgetPhoto(db: Database, dataDir: string, sha256: string): boolean {
  const used = db.get(
    `SELECT 1 FROM job_photo JOIN job ON job.id = job_photo.job
     WHERE sha256 = ?1 AND (state IN ('waiting', 'running') OR job.id IN (SELECT id FROM comparison))
     UNION ALL SELECT 1 FROM visit_photo WHERE sha256 = ?1
     UNION ALL SELECT 1 FROM series_photo WHERE sha256 = ?1 LIMIT 1`,
    sha256,
  );
  if (used) return false;
  db.run('DELETE FROM job WHERE id IN (SELECT job FROM job_photo WHERE sha256 = ?)', sha256);
  if (db.run('DELETE FROM photo WHERE sha256 = ?', sha256) === 0) return false;
  db.afterCommit(() => dropOrphan(db, dataDir, sha256));
  return true;
}

/**
 * Removes the files of a photograph that has no row. The row goes first, in a transaction of its own: whatever stops the program in
 * between leaves files that the next sweep finds, and never a row without its file. True when there was something to remove.
 */
export function dropOrphan(db: Database, dataDir: string, sha256: string): boolean {
  return db.transaction(() => {
    if (db.get('SELECT 1 FROM photo WHERE sha256 = ?', sha256)) return false;
    dropPhotoFiles(dataDir, sha256);
    return true;
  });
}

const isSha256 = (text: string): boolean => sha256Schema.safeParse(text).success;

/** Seals the stream to `path` while hashing it. */
async function takeIn(
  vault: Vault,
  chunks: AsyncIterable<Uint8Array>,
  path: string,
  name: string,
  mostBytes: number,
): Promise<Outcome<{ sha256: string; bytes: number }, ShelfFault>> {
  const hash = createHash('sha256');
  let bytes = 0;
  const { head, cipher } = beginSeal(vault.sealingKey, PHOTO);
  const handle = await createPrivate(path);
  try {
    await handle.writeFile(head);
    for await (const chunk of chunks) {
      bytes += chunk.length;
      if (bytes > mostBytes)
        return refused(
          'too-large',
          `${name} is larger than ${Math.floor(mostBytes / 1e6)} MB, the most that is taken. Export it as a JPEG and add that.`,
        );
      hash.update(chunk);
      // `write` may write part of the chunk only; `writeFile` on an open handle goes on until all of it is written.
      await handle.writeFile(cipher.update(chunk));
    }
    if (bytes === 0) return refused('empty', `${name} is empty: it has no bytes at all. Copy it from the camera again.`);
    await handle.writeFile(Buffer.concat([cipher.final(), cipher.getAuthTag()]));
    await handle.sync();
  } finally {
    await handle.close();
  }
  return found({ sha256: hash.digest('hex'), bytes });
}

async function* single(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
  yield bytes;
}

const damagedPhoto = (sha256: string): VaultError =>
  new VaultError(
    'damaged',
    `The kept photograph ${sha256.slice(0, 12)} is damaged: its bytes are no longer those that were kept. Add it again from the camera or restore a backup; all others can still be used.`,
  );

/** Says of damage which photograph it is in. */
const asPhoto =
  (sha256: string) =>
  (error: unknown): never => {
    throw error instanceof VaultError && error.code === 'damaged' ? damagedPhoto(sha256) : error;
  };

const photoOf = (vault: Vault, row: Row): StoredPhoto => ({
  sha256: String(row.sha256),
  name: vault.openText(String(row.name), photoNamePurpose(String(row.sha256))),
  bytes: Number(row.bytes),
  addedAt: String(row.added_at),
});
