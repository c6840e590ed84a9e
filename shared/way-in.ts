/** Where somebody who has to sign in first was going. Only pages of the program itself, named without a query: whatever else is asked for leads home. */
const PAGE = /^\/(?:cases|comparison|series|settings|about)(?:\/[a-z0-9-]{1,64}){0,5}$/;

/** The page wanted, or the first page. */
export const wayIn = (wanted: unknown): string => (typeof wanted === 'string' && PAGE.test(wanted) ? wanted : '/');

/** The address at which it is asked who one is, on the way to `path`. */
export const signInOnTheWayTo = (path: string): string => (wayIn(path) === '/' ? '/sign-in' : `/sign-in?to=${encodeURIComponent(path)}`);
