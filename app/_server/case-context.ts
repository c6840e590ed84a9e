/** The ids in the address of a case's route or page: checked, or null. */
import { idSchema } from '#shared/job.ts';

/** Null when any is no id; unknown ones are the book's to tell. */
export async function idsOf<K extends string>(params: Promise<Record<K, string>>, ...keys: K[]): Promise<Record<K, string> | null> {
  const raw = await params;
  return keys.every((key) => idSchema.safeParse(raw[key]).success) ? raw : null;
}

/** The calendar day where this program runs, `YYYY-MM-DD`. */
export function today(): string {
  const now = new Date();
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((part) => String(part).padStart(2, '0')).join('-');
}
