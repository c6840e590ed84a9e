/**
 * Whether somebody looks at something for the first time in a while. A page asks anew for itself after every change and while it waits for a
 * measurement; in the audit that is one look, not a hundred. Kept in memory: after a restart the next look is a new one.
 */
import { actor } from './actor.ts';

/** Longer than a page refreshes itself, short enough that a second visit on the same day is a line of its own. */
const ONE_LOOK_MS = 10 * 60_000;
const MOST_KEPT = 5000;
const looks = new Map<string, number>();

/** `what` such as `case:ID`. */
export async function firstLook(what: string): Promise<boolean> {
  const key = `${await actor()} ${what}`;
  const now = Date.now();
  const last = looks.get(key);
  looks.delete(key);
  looks.set(key, now);
  if (looks.size > MOST_KEPT) looks.delete(looks.keys().next().value!);
  return last === undefined || now - last > ONE_LOOK_MS;
}
