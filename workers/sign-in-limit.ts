/**
 * How often a password may be tried: a few times from one address, and not without end from all together. A try is counted when it
 * begins and forgiven when it was right, so that many at once do not slip through.
 */

/** Tries in the window from one address, and from all. Ten of twelve random words' characters are far from any guess. */
export const MOST_FROM_ONE = 10;
export const MOST_FROM_ALL = 100;
export const WINDOW_MS = 15 * 60_000;

export type SignInLimit = Readonly<{
  /** Null when the try may go on; else how long to wait, ms, and whether this is the first time in the window that it is said. */
  begin: (address: string) => { waitMs: number; first: boolean } | null;
  forgive: (address: string) => void;
}>;

/** `clock` gives milliseconds from any start. */
export function makeSignInLimit(clock: () => number): SignInLimit {
  let tries: { address: string; at: number }[] = [];
  const told = new Map<string, number>();

  return {
    begin: (address) => {
      const since = clock() - WINDOW_MS;
      tries = tries.filter(({ at }) => at > since);
      for (const [whom, at] of told) if (at <= since) told.delete(whom);
      const own = tries.filter((one) => one.address === address);
      const full = own.length >= MOST_FROM_ONE ? own : tries.length >= MOST_FROM_ALL ? tries : null;
      if (!full) {
        tries.push({ address, at: clock() });
        return null;
      }
      const first = !told.has(address);
      if (first) told.set(address, clock());
      return { waitMs: full[0]!.at + WINDOW_MS - clock(), first };
    },
    forgive: (address) => {
      tries = tries.filter((one) => one.address !== address);
    },
  };
}
