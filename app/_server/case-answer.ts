/** What routes of a case answer when the book of cases says no, and how they read what they were sent. */
import type { z } from 'zod';
import type { CaseFault } from '#lib/record/case-types.ts';
import type { Outcome } from '#shared/outcome.ts';
import { answer, problem } from './answer.ts';

const STATUS: Readonly<Record<CaseFault, number>> = {
  gone: 404,
  'changed-meanwhile': 409,
  taken: 409,
  'out-of-order': 409,
  locked: 409,
  'in-use': 409,
  'no-consent': 409,
  unfit: 422,
};

/** The value as JSON, or the fault with its sentence. */
export const caseAnswer = <T>(outcome: Outcome<T, CaseFault>, status = 200): Response =>
  outcome.ok ? answer(outcome.value, status) : problem(STATUS[outcome.why], outcome.why, outcome.detail);

type Read<T> = Readonly<{ ok: true; value: T }> | Readonly<{ ok: false; response: Response }>;

/** The body as `schema` wants it, or the answer that says which field is not. */
export async function bodyOf<T>(request: Request, schema: z.ZodType<T>): Promise<Read<T>> {
  const parsed = schema.safeParse(await request.json().catch(() => null));
  if (parsed.success) return { ok: true, value: parsed.data };
  const first = parsed.error.issues[0];
  return {
    ok: false,
    response: problem(
      422,
      'unfit',
      `${first?.path.length ? `${first.path.join(', ')}: ` : ''}${first?.message ?? 'The request was not understood'}.`.replace(
        /\.\.$/,
        '.',
      ),
      'Put it right and save again.',
    ),
  };
}
