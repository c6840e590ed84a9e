/** Every photograph of every pair, with its hash: the rows of `inputs.csv`, by which a run can be checked against its photographs. */
import { z } from 'zod';
import { viewSchema } from '#shared/comparison.ts';
import { sha256Schema } from '#shared/job.ts';
import type { AnsweredPair } from './answered-pair.ts';

export const inputRowSchema = z.object({
  pair: z.string(),
  role: z.enum(['before', 'after']),
  view: viewSchema.nullable(),
  file: z.string(),
  bytes: z.number().int(),
  sha256: sha256Schema,
});
export type InputRow = z.infer<typeof inputRowSchema>;

/** The view is the recognised one; null when nothing was recognised. */
export const inputRows = ({ pair, inputs, comparison }: AnsweredPair): InputRow[] =>
  inputs.map(({ role, file, bytes, sha256 }) => ({
    pair: pair.pair,
    role,
    view: comparison?.inputs.find((input) => input.role === role && input.sha256 === sha256)?.view ?? null,
    file,
    bytes,
    sha256,
  }));
