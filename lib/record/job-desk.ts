/**
 * The working side of the queue. A job belongs to the runner that claimed it, and only that runner's words about it
 * count: a runner that was thought dead and comes back finds that its job is no longer its own, and changes nothing.
 */
import { canonicalJson } from '#shared/canonical-json.ts';
import { type JobFault, jobFaultSchema } from '#shared/job.ts';
import { photoCheckSchema } from '#shared/photo-check.ts';
import type { Database } from './database.ts';
import { jobOf } from './job-row.ts';
import { ago, now } from './now.ts';
import { jobPurpose } from './purposes.ts';
import type { JobDesk } from './types.ts';
import type { Vault } from './vault.ts';

/** A job that lost its runner or its thread this often is not tried again: it is probably the cause. */
export const MOST_ATTEMPTS = 2;

const LOST: JobFault = {
  code: 'lost',
  message:
    'The measurement stopped twice before it was finished, probably for lack of memory. Close other programs, or try smaller photographs, and measure again.',
  photo: null,
};

const WAIT_AGAIN = `state = 'waiting', runner = NULL, step = '', fraction = 0`;

export function openJobDesk(db: Database, vault: Vault): Omit<JobDesk, 'finishCompare'> {
  const heard = (runner: string): void => {
    db.run(
      'INSERT INTO runner (name, heard_at) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET heard_at = excluded.heard_at',
      runner,
      now(),
    );
  };
  const sealedFault = (id: string, fault: JobFault): string =>
    vault.sealText(canonicalJson(jobFaultSchema.parse(fault)), jobPurpose('fault', id));
  const settle = (
    id: string,
    runner: string,
    state: 'done' | 'failed' | 'stopped',
    columns: { result?: string; fault?: JobFault },
  ): boolean =>
    db.run(
      `UPDATE job SET state = ?, runner = NULL, result = ?, fault = ?, ended_at = ?, fraction = CASE ? WHEN 'done' THEN 1 ELSE fraction END
       WHERE id = ? AND runner = ?`,
      state,
      columns.result === undefined ? null : vault.sealText(columns.result, jobPurpose('result', id)),
      columns.fault ? sealedFault(id, columns.fault) : null,
      now(),
      state,
      id,
      runner,
    ) > 0;

  return {
    claim: async (runner, kind) => {
      // Asked many times a second: the write lock is taken only when there is something to take.
      const next = () =>
        db.get(
          `SELECT id FROM job WHERE state = 'waiting' AND (? IS NULL OR kind = ?) ORDER BY kind = 'compare', created_at, id LIMIT 1`,
          kind ?? null,
          kind ?? null,
        );
      if (!next()) return null;
      return db.transaction(() => {
        const row = next();
        if (!row) return null;
        heard(runner);
        const taken = db.get(
          `UPDATE job SET state = 'running', runner = ?, attempts = attempts + 1, started_at = ?, step = '', fraction = 0 WHERE id = ? RETURNING *`,
          runner,
          now(),
          row.id!,
        );
        return jobOf(vault, taken!);
      });
    },
    progress: async (id, runner, step, fraction) => {
      const row = db.get(
        'UPDATE job SET step = ?, fraction = ? WHERE id = ? AND runner = ? RETURNING stop_asked',
        step,
        clamp01(fraction),
        id,
        runner,
      );
      return row && row.stop_asked === 0 ? 'go-on' : 'stop';
    },
    heartbeat: async (runner) => heard(runner),
    finishCheck: async (id, runner, result) => settle(id, runner, 'done', { result: canonicalJson(photoCheckSchema.parse(result)) }),
    fail: async (id, runner, fault, how = {}) => {
      if (how.retry) {
        const again = db.run(
          `UPDATE job SET ${WAIT_AGAIN} WHERE id = ? AND runner = ? AND attempts < ? AND stop_asked = 0`,
          id,
          runner,
          MOST_ATTEMPTS,
        );
        if (again > 0) return true;
      }
      return settle(id, runner, 'failed', { fault });
    },
    stopped: async (id, runner) => settle(id, runner, 'stopped', {}),
    reclaim: async (silentMs) =>
      db.transaction(() => {
        const silentSince = ago(silentMs);
        const orphaned = `state = 'running' AND runner NOT IN (SELECT name FROM runner WHERE heard_at >= ?)`;
        const stopped = db.run(
          `UPDATE job SET state = 'stopped', runner = NULL, ended_at = ? WHERE stop_asked = 1 AND ${orphaned}`,
          now(),
          silentSince,
        );
        const lost = db.all(`SELECT id FROM job WHERE attempts >= ? AND ${orphaned}`, MOST_ATTEMPTS, silentSince);
        for (const { id } of lost)
          db.run(
            `UPDATE job SET state = 'failed', runner = NULL, ended_at = ?, fault = ? WHERE id = ?`,
            now(),
            sealedFault(String(id), LOST),
            id!,
          );
        const again = db.run(`UPDATE job SET ${WAIT_AGAIN} WHERE ${orphaned}`, silentSince);
        db.run('DELETE FROM runner WHERE heard_at < ?', silentSince);
        return stopped + lost.length + again;
      }),
    release: async (runner) =>
      db.transaction(() => {
        const stopped = db.run(
          `UPDATE job SET state = 'stopped', runner = NULL, ended_at = ? WHERE stop_asked = 1 AND runner = ?`,
          now(),
          runner,
        );
        const again = db.run(`UPDATE job SET ${WAIT_AGAIN}, attempts = attempts - 1 WHERE runner = ?`, runner);
        db.run('DELETE FROM runner WHERE name = ?', runner);
        return stopped + again;
      }),
  };
}

const clamp01 = (fraction: number): number => Math.min(1, Math.max(0, fraction));
