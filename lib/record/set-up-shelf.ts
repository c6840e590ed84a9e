/** Profiles of set-ups in the tables, addressed by the SHA-256 of their canonical JSON, so that a result can name the one it used. */
import { createHash } from 'node:crypto';
import { canonicalJson } from '#shared/canonical-json.ts';
import { setUpProfileSchema } from '#shared/set-up-profile.ts';
import type { Database, Row } from './database.ts';
import { now } from './now.ts';
import type { SetUpShelf, StoredSetUp } from './types.ts';

export function openSetUpShelf(db: Database): SetUpShelf {
  return {
    addSetUp: async (given) => {
      const profile = setUpProfileSchema.parse(given);
      const text = canonicalJson(profile);
      const sha256 = createHash('sha256').update(text, 'utf8').digest('hex');
      // Added again, an old profile becomes the newest of its name.
      db.run(
        `INSERT INTO set_up (sha256, name, added_at, profile) VALUES (?, ?, ?, ?) ON CONFLICT (sha256) DO UPDATE SET added_at = excluded.added_at`,
        sha256,
        profile.name,
        now(),
        text,
      );
      return sha256;
    },
    setUp: async (nameOrSha256) => {
      const row = db.get(
        'SELECT * FROM set_up WHERE sha256 = ? OR name = ? ORDER BY sha256 = ? DESC, added_at DESC, rowid DESC LIMIT 1',
        nameOrSha256,
        nameOrSha256,
        nameOrSha256,
      );
      return row ? storedOf(row) : null;
    },
    listSetUps: async () => {
      const newest = new Map<string, StoredSetUp>();
      for (const row of db.all('SELECT * FROM set_up ORDER BY name, added_at, rowid')) newest.set(String(row.name), storedOf(row));
      return [...newest.values()];
    },
    removeSetUp: async (name) => db.run('DELETE FROM set_up WHERE name = ?', name),
  };
}

const storedOf = (row: Row): StoredSetUp => ({
  sha256: String(row.sha256),
  addedAt: String(row.added_at),
  profile: setUpProfileSchema.parse(JSON.parse(String(row.profile))),
});
