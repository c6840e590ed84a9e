/** A job as it lies in its table, read and checked. */
import { type Job, jobSchema } from '#shared/job.ts';
import type { Row } from './database.ts';
import { jobPurpose } from './purposes.ts';
import type { Vault } from './vault.ts';

/** Throws when the row is not what the program once wrote. */
export function jobOf(vault: Vault, row: Row): Job {
  const opened = (column: 'request' | 'fault'): unknown =>
    row[column] === null ? null : JSON.parse(vault.openText(String(row[column]), jobPurpose(column, String(row.id))));
  return jobSchema.parse({
    id: row.id,
    kind: row.kind,
    state: row.state,
    request: opened('request'),
    step: row.step,
    fraction: row.fraction,
    attempts: row.attempts,
    stopAsked: row.stop_asked === 1,
    fault: opened('fault'),
    createdAt: row.created_at,
    startedAt: row.started_at,
    endedAt: row.ended_at,
  });
}
