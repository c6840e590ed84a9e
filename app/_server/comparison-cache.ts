/**
 * Comparisons read before: they never change, and the page of a case needs all of its own at every look. Reading, opening and checking one
 * takes a few milliseconds. The oldest looked at give way; one that was removed from the record is not found here either.
 */
import type { StoredComparison } from '#lib/record/types.ts';
import { record } from './record.ts';

const MOST_KEPT = 200;
const kept = new Map<string, StoredComparison>();

/** Null while it is not measured. `ids` are asked of the book first, so an id that was removed never gets here. */
export async function knownComparison(id: string): Promise<StoredComparison | null> {
  const known = kept.get(id) ?? (await record().comparison(id));
  if (!known) return null;
  kept.delete(id);
  kept.set(id, known);
  if (kept.size > MOST_KEPT) kept.delete(kept.keys().next().value!);
  return known;
}
