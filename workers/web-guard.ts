/**
 * What the page's server asks of a request before anything else reads it, and the headers every answer carries.
 * Pure functions over plain data, so that they can be tested without a server.
 *
 * The page is bound to loopback, or asks for a password, but a browser may be led there by a stranger's page: a name that resolves to
 * this machine's address (rebinding) is refused by its Host, a form or script on another site by its Origin.
 */

/** A random value, new for every answer, base64; only scripts that carry it run. */
export type Nonce = string;

const SAFE_METHODS = new Set(['GET', 'HEAD', 'OPTIONS']);
const LOOPBACK_NAMES = new Set(['localhost', '127.0.0.1', '[::1]']);

export type Asked = Readonly<{
  method: string;
  host: string | undefined;
  origin: string | undefined;
  /** `Sec-Fetch-Site`: what the browser says of where the request came from. */
  fetchSite: string | undefined;
}>;

/** Null when the request may go on; otherwise the sentence that refuses it. `names`: addresses and names beside loopback's that are ours. */
export function refusal(asked: Asked, names: readonly string[] = []): string | null {
  const name = hostName(asked.host);
  if (name === null || !(LOOPBACK_NAMES.has(name) || names.some((one) => (one.includes(':') ? `[${one}]` : one).toLowerCase() === name)))
    return 'This program answers only to its own address. Open the address that it printed when it started.';
  if (SAFE_METHODS.has(asked.method)) return null;
  if (asked.fetchSite !== undefined && asked.fetchSite !== 'same-origin' && asked.fetchSite !== 'none')
    return 'A page of another site tried to use this program, and was refused.';
  if (asked.origin !== undefined && asked.origin !== 'null' && originHost(asked.origin) !== asked.host?.toLowerCase())
    return 'A page of another site tried to use this program, and was refused.';
  if (asked.origin === 'null') return 'A page without an address of its own tried to use this program, and was refused.';
  return null;
}

/** "localhost:4173" is "localhost", "[::1]:80" is "[::1]"; null when there is no readable host. */
function hostName(host: string | undefined): string | null {
  const match = /^(\[[0-9a-f:]+\]|[a-z0-9.-]+)(?::\d{1,5})?$/i.exec(host ?? '');
  return match ? match[1]!.toLowerCase() : null;
}

function originHost(origin: string): string | null {
  try {
    return new URL(origin).host;
  } catch {
    return null;
  }
}

/**
 * The content policy of a page. Nothing from outside, no inline style, and no script but those that carry the nonce.
 * `developing` lets the development server evaluate code and keep its socket; a built program never has it.
 */
export function contentPolicy(nonce: Nonce, developing: boolean): string {
  return [
    "default-src 'none'",
    `script-src 'nonce-${nonce}' 'strict-dynamic'${developing ? " 'unsafe-eval'" : ''}`,
    `style-src 'self'${developing ? " 'unsafe-inline'" : ` 'nonce-${nonce}'`}`,
    "img-src 'self' blob: data:",
    `connect-src 'self'${developing ? ' ws:' : ''}`,
    "worker-src 'self'",
    "manifest-src 'self'",
    "font-src 'none'",
    "object-src 'none'",
    "base-uri 'none'",
    "form-action 'self'",
    "frame-ancestors 'none'",
  ].join('; ');
}

/** Headers of every answer, beside the content policy. */
export const PLAIN_HEADERS: Readonly<Record<string, string>> = {
  'Referrer-Policy': 'no-referrer',
  'X-Content-Type-Options': 'nosniff',
  'X-Frame-Options': 'DENY',
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cross-Origin-Resource-Policy': 'same-origin',
  'Permissions-Policy': 'camera=(), microphone=(), geolocation=(), payment=(), usb=()',
};
