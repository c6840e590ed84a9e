/**
 * Who is signed in: kept in the memory of the page's server and nowhere else, so that its end signs everybody out. The browser holds
 * 256 random bits; only their SHA-256 is kept here.
 */
import { createHash, randomBytes } from 'node:crypto';

export type Session = Readonly<{ name: string /** Of the token: what the token for changes is bound to. */; key: string }>;

export type Sessions = Readonly<{
  /** Returns the token for the cookie. */
  open: (name: string) => string;
  /** Null when there is none, or it has run out; being asked for keeps it awake. */
  find: (token: string) => Session | null;
  end: (token: string) => void;
}>;

const MINUTE_MS = 60_000;
/** Left alone that long, a screen may be anybody's. */
export const IDLE_MS = 30 * MINUTE_MS;
/** A working day. */
export const LONGEST_MS = 12 * 60 * MINUTE_MS;
const MOST_SESSIONS = 200;

/** `clock` gives milliseconds from any start. */
export function makeSessions(clock: () => number): Sessions {
  const kept = new Map<string, { name: string; openedAt: number; seenAt: number }>();
  const keyOf = (token: string): string => createHash('sha256').update(token).digest('hex');
  const clear = (): void => {
    for (const [key, { openedAt, seenAt }] of kept) if (isOver(openedAt, seenAt)) kept.delete(key);
  };
  const isOver = (openedAt: number, seenAt: number): boolean => clock() - seenAt > IDLE_MS || clock() - openedAt > LONGEST_MS;

  return {
    open: (name) => {
      clear();
      const oldest = kept.keys().next().value;
      if (kept.size >= MOST_SESSIONS && oldest !== undefined) kept.delete(oldest);
      const token = randomBytes(32).toString('base64url');
      kept.set(keyOf(token), { name, openedAt: clock(), seenAt: clock() });
      return token;
    },
    find: (token) => {
      const key = keyOf(token);
      const session = kept.get(key);
      if (!session) return null;
      if (isOver(session.openedAt, session.seenAt)) {
        kept.delete(key);
        return null;
      }
      session.seenAt = clock();
      return { name: session.name, key };
    },
    end: (token) => void kept.delete(keyOf(token)),
  };
}
