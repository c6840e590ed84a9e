/** Headers that the page's server adds to a request for the pages and routes behind it, and the one that a page sends with every change. */

/** Who asks, percent-encoded. Never taken from a browser. */
export const ACTOR_HEADER = 'x-ebbline-actor';
/** The token that `/api/token` answers with; bound to the session. Never taken from a browser. */
export const GIVEN_TOKEN_HEADER = 'x-ebbline-given-token';
/** Whether there is somebody who can sign out: `yes` or `no`. Never taken from a browser. */
export const SIGNED_IN_HEADER = 'x-ebbline-signed-in';
/** What a page sends back with everything that changes something. */
export const TOKEN_HEADER = 'x-ebbline-token';
