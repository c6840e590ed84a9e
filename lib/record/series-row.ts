/** A series as it lies in its table: what is sealed is opened and checked here. */
import { z } from 'zod';
import { idSchema } from '#shared/job.ts';
import {
  SERIES_STATES,
  seriesFaultSchema,
  seriesOptionsSchema,
  seriesProgressSchema,
  seriesSourceSchema,
  seriesTaskSchema,
} from '#shared/series-job.ts';
import type { Row } from './database.ts';
import type { StoredSeries } from './series-types.ts';
import type { Vault } from './vault.ts';

export const seriesPurpose = (column: 'asked' | 'fault' | 'progress', id: string): string => `series.${column}:${id}`;
export const seriesPhotoPurpose = (id: string): string => `series.photo:${id}`;

const rowSchema = z.object({
  id: idSchema,
  title: z.string(),
  source: seriesSourceSchema,
  options: seriesOptionsSchema,
  task: seriesTaskSchema,
  state: z.enum(SERIES_STATES),
  stopAsked: z.boolean(),
  progress: seriesProgressSchema.nullable(),
  fault: seriesFaultSchema.nullable(),
  attempts: z.number().int(),
  createdAt: z.string(),
  startedAt: z.string().nullable(),
  endedAt: z.string().nullable(),
});

/** Throws when the row is not what the program once wrote. */
export function seriesOf(vault: Vault, row: Row): StoredSeries {
  const id = String(row.id);
  const opened = (column: 'asked' | 'fault' | 'progress'): unknown =>
    row[column] === null ? null : JSON.parse(vault.openText(String(row[column]), seriesPurpose(column, id)));
  return rowSchema.parse({
    ...(opened('asked') as object),
    id,
    task: JSON.parse(String(row.task)),
    state: row.state,
    stopAsked: row.stop_asked === 1,
    progress: opened('progress'),
    fault: opened('fault'),
    attempts: row.attempts,
    createdAt: row.created_at,
    startedAt: row.started_at,
    endedAt: row.ended_at,
  });
}
