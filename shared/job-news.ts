/** What a page hears of a job while it waits for it. */
import type { z } from 'zod';
import { jobSchema } from './job.ts';
import { photoCheckSchema } from './photo-check.ts';

export const jobNewsSchema = jobSchema
  .pick({ id: true, kind: true, state: true, step: true, fraction: true, stopAsked: true, fault: true })
  .extend({ check: photoCheckSchema.nullable() });
export type JobNews = z.infer<typeof jobNewsSchema>;

/** True when nothing more will be heard. */
export const isOver = (news: Pick<JobNews, 'state'>): boolean =>
  news.state === 'done' || news.state === 'failed' || news.state === 'stopped';

/** More jobs than this are not watched in one request. */
export const MOST_WATCHED = 24;
