/** The ids in `?ids=a,b,c`; null when there are none, too many, or one is no id. */
import { z } from 'zod';
import { idSchema } from '#shared/job.ts';
import { MOST_WATCHED } from '#shared/job-news.ts';

const idsSchema = z.array(idSchema).min(1).max(MOST_WATCHED);

export function watchedIds(url: string): string[] | null {
  const parsed = idsSchema.safeParse((new URL(url).searchParams.get('ids') ?? '').split(','));
  return parsed.success ? [...new Set(parsed.data)] : null;
}
