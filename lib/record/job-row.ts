/** A job as it lies in its table, read and checked. */
import { type Job, jobSchema } from '#shared/job.ts';
import type { Row } from './database.ts';

/** Throws when the row is not what the program once wrote. */
export function jobOf(row: Row): Job {
  return jobSchema.parse({
    id: row.id,
    kind: row.kind,
    state: row.state,
    request: JSON.parse(String(row.request)),
    step: row.step,
    fraction: row.fraction,
    attempts: row.attempts,
    stopAsked: row.stop_asked === 1,
    fault: row.fault === null ? null : JSON.parse(String(row.fault)),
    createdAt: row.created_at,
    startedAt: row.started_at,
    endedAt: row.ended_at,
  });
}
