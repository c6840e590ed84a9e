/** The token that goes with every change a page asks for: fetched once, and again when the program was started anew or somebody signed in. */
import { TOKEN_HEADER } from '#shared/request-headers.ts';

let kept: Promise<string> | null = null;

/** The header to send along. `anew` when the former one was not taken. Rejects when the program does not answer. */
export async function changeToken({ anew = false }: { anew?: boolean } = {}): Promise<Readonly<Record<string, string>>> {
  if (anew) kept = null;
  kept ??= fetchToken();
  try {
    return { [TOKEN_HEADER]: await kept };
  } catch (error) {
    kept = null;
    throw error;
  }
}

async function fetchToken(): Promise<string> {
  const response = await fetch('/api/token');
  const body: unknown = await response.json();
  const token = typeof body === 'object' && body !== null && 'token' in body ? body.token : null;
  if (typeof token !== 'string') throw new Error('no token came');
  return token;
}

/** Whether an answer's body says that the token was not taken. */
export const isTokenRefused = (body: unknown): boolean =>
  typeof body === 'object' &&
  body !== null &&
  'error' in body &&
  typeof body.error === 'object' &&
  body.error !== null &&
  'code' in body.error &&
  body.error.code === 'token';
