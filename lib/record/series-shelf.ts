/** Series of the record, the asking side: they are begun, read, asked for more, stopped and taken away. */
import { randomBytes } from 'node:crypto';
import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { canonicalJson } from '#shared/canonical-json.ts';
import { found, refused } from '#shared/outcome.ts';
import { seriesAskedSchema, seriesPhotoRefSchema, seriesTaskSchema } from '#shared/series-job.ts';
import type { Database } from './database.ts';
import { now } from './now.ts';
import { forgetPhoto } from './photo-shelf.ts';
import { openSeriesView } from './series/series-view.ts';
import { filesOfSeries, openFileOfSeries, SERIES_FILE, seriesDir } from './series-places.ts';
import { seriesOf, seriesPhotoPurpose, seriesPurpose } from './series-row.ts';
import type { SeriesShelf } from './series-types.ts';
import type { Vault } from './vault.ts';

const MOST_LISTED = 200;
const GONE = refused('gone', 'This series is no longer in the record; somebody may have deleted it. Go back to the list of series.');
const BUSY = refused('busy', 'This series is being worked on. Stop it, and wait until it rests.');

export function openSeriesShelf(db: Database, dataDir: string, vault: Vault): SeriesShelf {
  const stateOf = (id: string): string | null => {
    const row = db.get('SELECT state FROM series WHERE id = ?', id);
    return row ? String(row.state) : null;
  };
  return {
    addSeries: async (given) => {
      const { title, source, options, photos } = seriesAskedSchema.parse(given);
      const id = randomBytes(16).toString('hex');
      db.transaction(() => {
        db.run(
          `INSERT INTO series (id, state, task, asked, created_at) VALUES (?, 'waiting', ?, ?, ?)`,
          id,
          canonicalJson({ do: 'measure' }),
          vault.sealText(canonicalJson({ title, source, options }), seriesPurpose('asked', id)),
          now(),
        );
        for (const { file, sha256 } of photos) {
          if (!db.get('SELECT 1 FROM photo WHERE sha256 = ?', sha256))
            throw new RangeError(`photograph ${sha256} is not on the shelf; add it first`);
          db.run(
            'INSERT INTO series_photo (series, sha256, sealed) VALUES (?, ?, ?)',
            id,
            sha256,
            vault.sealText(file, seriesPhotoPurpose(id)),
          );
        }
      });
      return id;
    },
    series: async (id) => {
      const row = db.get('SELECT * FROM series WHERE id = ?', id);
      return row ? seriesOf(vault, row) : null;
    },
    listSeries: async (limit = MOST_LISTED) =>
      db.all('SELECT * FROM series ORDER BY created_at DESC, id LIMIT ?', limit).map((row) => seriesOf(vault, row)),
    seriesPhotos: async (id) =>
      db
        .all('SELECT sha256, sealed FROM series_photo WHERE series = ? ORDER BY seq', id)
        .map((row) => seriesPhotoRefSchema.parse({ sha256: row.sha256, file: vault.openText(String(row.sealed), seriesPhotoPurpose(id)) })),
    askSeries: async (id, asked) => {
      const task = seriesTaskSchema.parse(asked);
      return db.transaction(() => {
        const state = stateOf(id);
        if (state === null) return GONE;
        if (state === 'waiting' || state === 'running') return BUSY;
        db.run(
          `UPDATE series SET state = 'waiting', task = ?, attempts = 0, stop_asked = 0, fault = NULL, ended_at = NULL WHERE id = ?`,
          canonicalJson(task),
          id,
        );
        return found(null);
      });
    },
    stopSeries: async (id) =>
      db.transaction(() => {
        db.run(`UPDATE series SET state = 'stopped', stop_asked = 1, ended_at = ? WHERE id = ? AND state = 'waiting'`, now(), id);
        db.run(`UPDATE series SET stop_asked = 1 WHERE id = ? AND state = 'running'`, id);
        return stateOf(id) !== null;
      }),
    removeSeries: async (id) => {
      const removed = db.transaction(() => {
        const state = stateOf(id);
        if (state === null) return GONE;
        if (state === 'waiting' || state === 'running') return BUSY;
        const photos = db.all('SELECT DISTINCT sha256 FROM series_photo WHERE series = ?', id).map((row) => String(row.sha256));
        db.run('DELETE FROM series WHERE id = ?', id);
        const gone = photos.filter((sha256) => forgetPhoto(db, dataDir, sha256)).length;
        db.afterCommit(() => rmSync(seriesDir(dataDir, id), { recursive: true, force: true }));
        return found({ photos: gone });
      });
      db.settle();
      return removed;
    },
    seriesFolder: (id) => seriesDir(dataDir, id),
    seriesView: (id) => openSeriesView(join(seriesDir(dataDir, id), SERIES_FILE)),
    seriesFiles: (id) => filesOfSeries(dataDir, id),
    openSeriesFile: (id, set, name) => openFileOfSeries(dataDir, id, set, name),
  };
}
