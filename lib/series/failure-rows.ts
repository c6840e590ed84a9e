/** What was not measured, and why: the rows of `failures.csv`. */
import { z } from 'zod';
import { PAIR_STATES } from '#shared/series.ts';
import type { AnsweredPair } from './answered-pair.ts';

export const failureRowSchema = z.object({
  /** Of the manifest, when a row of it was left out. */
  line: z.number().int().nullable(),
  pair: z.string().nullable(),
  state: z.enum(['left-out', ...PAIR_STATES.filter((state) => state !== 'measured')]),
  /** For machines: of a refusing check, of a fault, of what is wrong with a row. */
  code: z.string(),
  message: z.string(),
  advice: z.string(),
});
export type FailureRow = z.infer<typeof failureRowSchema>;

export const leftOutRow = ({ line, code, message }: Readonly<{ line: number; code: string; message: string }>): FailureRow => ({
  line,
  pair: null,
  state: 'left-out',
  code,
  message,
  advice: '',
});

/** One row for each check that refused, or one for the fault; none when the pair was measured. */
export function failureRows({ pair, state, fault, comparison }: AnsweredPair): FailureRow[] {
  if (state === 'measured') return [];
  const head = { line: null, pair: pair.pair, state };
  if (fault) return [{ ...head, ...fault, advice: '' }];
  const refusing = comparison?.gate.checks.filter(({ verdict }) => verdict === 'refuse') ?? [];
  return refusing.map(({ id, message, advice }) => ({ ...head, code: id, message, advice }));
}
