/**
 * The days on which a dissolving treatment is to be looked at again: the first review, and the one after it, counted from each treatment
 * as the practice does (common practice, no published source). Days that a later treatment overtakes are left out.
 */
import type { Treatment } from '#shared/case.ts';
import type { TradeFacts } from '#shared/practice.ts';

/** Sorted, `YYYY-MM-DD`. */
export function reviewDays(
  treatments: readonly Pick<Treatment, 'on' | 'purpose'>[],
  { firstReviewDay, reviewEveryDays }: Pick<TradeFacts, 'firstReviewDay' | 'reviewEveryDays'>,
): string[] {
  const dissolved = treatments.filter(({ purpose }) => purpose === 'gel-dissolved').map(({ on }) => on);
  const days = dissolved.flatMap((on) =>
    [firstReviewDay, firstReviewDay + reviewEveryDays]
      .map((after) => dayAfter(on, after))
      .filter((day) => !dissolved.some((later) => later > on && later <= day)),
  );
  return [...new Set(days)].sort();
}

function dayAfter(on: string, days: number): string {
  const ms = Date.parse(`${on}T00:00:00Z`);
  if (Number.isNaN(ms)) throw new RangeError(`a calendar day is wanted, got ${on}`);
  return new Date(ms + days * 86_400_000).toISOString().slice(0, 10);
}
