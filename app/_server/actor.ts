/**
 * Whose hands a request is in. The page's server (workers/web.ts) writes the name into a header of its own, having taken away whatever a
 * browser sent under it: the name given when signing in, or the system's user where the program serves its own machine alone.
 */
import { headers } from 'next/headers';
import type { CaseBook } from '#lib/record/case-types.ts';
import { ACTOR_HEADER, SIGNED_IN_HEADER } from '#shared/request-headers.ts';
import { record } from './record.ts';

/** Throws when the request did not come through the page's server. */
export async function actor(): Promise<string> {
  const written = (await headers()).get(ACTOR_HEADER);
  if (written === null) throw new Error('a request without an actor did not come through the page server');
  return decodeURIComponent(written);
}

/** Who signed in; null where nobody needs to, or has yet. */
export async function signedInAs(): Promise<string | null> {
  return (await headers()).get(SIGNED_IN_HEADER) === 'yes' ? actor() : null;
}

/** Whether the page is shown to somebody who has yet to sign in. */
export const isOutside = async (): Promise<boolean> => (await headers()).get(SIGNED_IN_HEADER) === 'not-yet';

/** The book of cases in the hands of whoever makes this request: `await (await book()).openCase(id)`. */
export const book = async (): Promise<CaseBook> => record().casesAs(await actor());
