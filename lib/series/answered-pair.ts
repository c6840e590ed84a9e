/** A pair with its answer, as tables are made of it. */
import type { Comparison } from '#shared/comparison.ts';
import type { PairState, SeriesPair } from '#shared/series.ts';
import { daysApart } from './manifest-pairs.ts';

export type AnsweredPair = Readonly<{
  pair: SeriesPair;
  state: PairState;
  inputs: readonly Readonly<{ role: 'before' | 'after'; file: string; sha256: string; bytes: number }>[];
  fault: Readonly<{ code: string; message: string }> | null;
  /** Null when it failed. */
  comparison: Comparison | null;
}>;

/** The day of the photographs of one side: the manifest's, else the earliest that a camera wrote; null when nobody says. */
export function dayOf({ pair, comparison }: AnsweredPair, role: 'before' | 'after'): string | null {
  const given = role === 'before' ? pair.beforeOn : pair.afterOn;
  if (given !== null || comparison === null) return given;
  const taken = comparison.inputs.flatMap((input) =>
    input.role === role && input.facts.takenAt ? [input.facts.takenAt.slice(0, 10)] : [],
  );
  return taken.sort()[0] ?? null;
}

/** What every row of a pair says of time. */
export function timesOf(answered: AnsweredPair): Readonly<{ daysApart: number | null; daysSinceTreatment: number | null }> {
  const after = dayOf(answered, 'after');
  return { daysApart: daysApart(dayOf(answered, 'before'), after), daysSinceTreatment: daysApart(answered.pair.treatedOn, after) };
}
