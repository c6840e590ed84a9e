/** The asking side of the queue: jobs go in, and their state can be read. */
import { createHash, randomBytes } from 'node:crypto';
import { canonicalJson } from '#shared/canonical-json.ts';
import { type JobRequest, jobRequestSchema } from '#shared/job.ts';
import { photoCheckSchema } from '#shared/photo-check.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';
import type { Database } from './database.ts';
import { jobOf } from './job-row.ts';
import { now } from './now.ts';
import { jobDigestPurpose, jobPurpose } from './purposes.ts';
import type { JobQueue } from './types.ts';
import type { Vault } from './vault.ts';

const LIST_LIMIT = 200;

export function openJobQueue(db: Database, vault: Vault): JobQueue {
  const job: JobQueue['job'] = async (id) => {
    const row = db.get('SELECT * FROM job WHERE id = ?', id);
    return row ? jobOf(vault, row) : null;
  };
  return {
    job,
    enqueue: async (asked, how = {}) => db.transaction(() => enqueueJob(db, vault, asked, how)),
    jobs: async ({ state, kind, limit = LIST_LIMIT } = {}) =>
      db
        .all(
          `SELECT * FROM job WHERE (? IS NULL OR state = ?) AND (? IS NULL OR kind = ?) ORDER BY created_at DESC, id LIMIT ?`,
          state ?? null,
          state ?? null,
          kind ?? null,
          kind ?? null,
          limit,
        )
        .map((row) => jobOf(vault, row)),
    cancel: async (id) => {
      db.transaction(() => {
        db.run(`UPDATE job SET state = 'stopped', stop_asked = 1, ended_at = ? WHERE id = ? AND state = 'waiting'`, now(), id);
        db.run(`UPDATE job SET stop_asked = 1 WHERE id = ? AND state = 'running'`, id);
      });
      return job(id);
    },
    checkResult: async (id) => {
      const row = db.get(`SELECT result FROM job WHERE id = ? AND kind = 'check' AND state = 'done'`, id);
      return row ? photoCheckSchema.parse(JSON.parse(vault.openText(String(row.result), jobPurpose('result', id)))) : null;
    },
  };
}

/** What `enqueue` does; to be called inside a transaction. */
export function enqueueJob(db: Database, vault: Vault, asked: JobRequest, how: { again?: boolean } = {}): string {
  const request = jobRequestSchema.parse(asked);
  const digest = digestOf(vault, request);
  const same = db.get(
    `SELECT id FROM job WHERE digest = ? AND ((state IN ('waiting', 'running') AND stop_asked = 0) OR (state = 'done' AND ? = 0))
     ORDER BY created_at DESC LIMIT 1`,
    digest,
    how.again ? 1 : 0,
  );
  if (same) return String(same.id);
  // A running job that was told to stop no longer answers for its request.
  db.run(`UPDATE job SET digest = digest || ':' || id WHERE digest = ? AND state IN ('waiting', 'running')`, digest);
  const id = randomBytes(16).toString('hex');
  db.run(
    `INSERT INTO job (id, kind, state, request, digest, created_at) VALUES (?, ?, 'waiting', ?, ?, ?)`,
    id,
    request.kind,
    vault.sealText(canonicalJson(request), jobPurpose('request', id)),
    digest,
    now(),
  );
  for (const sha256 of photosOf(request)) {
    if (!db.get('SELECT 1 FROM photo WHERE sha256 = ?', sha256))
      throw new RangeError(`photograph ${sha256} is not on the shelf; add it first`);
    db.run('INSERT INTO job_photo (job, sha256) VALUES (?, ?)', id, sha256);
  }
  return id;
}

/** Equal requests to one version of the program have equal digests; another version may answer otherwise. */
const digestOf = (vault: Vault, request: JobRequest): string =>
  keyedDigest(
    vault,
    createHash('sha256')
      .update(canonicalJson({ request, version: EBBLINE_VERSION }))
      .digest('hex'),
  );

/** A plain digest would let names of files be tried out against it. */
export const keyedDigest = (vault: Vault, digest: string): string => vault.fingerprint(digest, jobDigestPurpose);

const photosOf = (request: JobRequest): ReadonlySet<string> =>
  new Set(request.kind === 'check' ? [request.photo.sha256] : [...request.before, ...request.after].map((photo) => photo.sha256));
