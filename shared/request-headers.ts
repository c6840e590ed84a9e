/** Headers that the page's server adds to a request for the pages and routes behind it, and the one that a page sends with every change. */

/** Who asks, percent-encoded. Never taken from a browser. */
export const ACTOR_HEADER = 'x-ebbline-actor';
/** Whether somebody signed in, and can sign out: `yes`; `not-yet` before; `no` where nobody needs to. Never taken from a browser. */
export const SIGNED_IN_HEADER = 'x-ebbline-signed-in';
/** What a page sends back with everything that changes something. */
export const TOKEN_HEADER = 'x-ebbline-token';
