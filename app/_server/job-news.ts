/** What the page is told of a job: its state, and the answer of a check once there is one. Never the whole request. */
import type { JobNews } from '#shared/job-news.ts';
import { record } from './record.ts';

/** Null when there is no such job. */
export async function jobNews(id: string): Promise<JobNews | null> {
  const job = await record().job(id);
  if (!job) return null;
  const check = job.kind === 'check' && job.state === 'done' ? await record().checkResult(id) : null;
  return {
    id,
    kind: job.kind,
    state: job.state,
    step: job.step,
    fraction: job.fraction,
    stopAsked: job.stopAsked,
    fault: job.fault,
    check,
  };
}
