/** Asking our own routes from the page: JSON in, JSON out; a problem comes back as a value with its sentence and remedy. */
import { z } from 'zod';
import { changeToken, isTokenRefused } from './change-token.ts';

const problemSchema = z.object({ error: z.object({ code: z.string(), message: z.string(), advice: z.string() }) });

export type Answer<T> = Readonly<{ ok: true; value: T }> | Readonly<{ ok: false; code: string; message: string; advice: string }>;

const UNREACHED = {
  ok: false,
  code: 'unreached',
  message: 'The program did not answer.',
  advice: 'See whether it is still running, then try again.',
} as const;

export async function ask<T>(
  schema: z.ZodType<T>,
  address: string,
  how: { method?: 'GET' | 'POST' | 'DELETE'; body?: unknown } = {},
): Promise<Answer<T>> {
  const method = how.method ?? 'GET';
  const send = async (anew: boolean): Promise<[Response, unknown]> => {
    const response = await fetch(address, {
      method,
      headers: {
        ...(method === 'GET' ? {} : await changeToken({ anew })),
        ...(how.body === undefined ? {} : { 'Content-Type': 'application/json' }),
      },
      ...(how.body === undefined ? {} : { body: JSON.stringify(how.body) }),
    });
    return [response, await response.json().catch(() => null)];
  };
  try {
    let [response, body] = await send(false);
    if (isTokenRefused(body)) [response, body] = await send(true);
    return readAnswer(schema, response.ok, body);
  } catch {
    return UNREACHED;
  }
}

/** What an answer's body says. */
export function readAnswer<T>(schema: z.ZodType<T>, ok: boolean, body: unknown): Answer<T> {
  if (ok) {
    const good = schema.safeParse(body);
    if (good.success) return { ok: true, value: good.data };
  }
  const bad = problemSchema.safeParse(body);
  return bad.success ? { ok: false, ...bad.data.error } : UNREACHED;
}
