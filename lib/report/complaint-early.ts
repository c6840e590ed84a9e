/**
 * Whether photographs were taken so soon after a treatment that they can't be judged yet, and from which day they can.
 * The number of days is the practice's own figure (shared/practice.ts): common practice without a published source.
 */
import type { Treatment } from '#shared/case.ts';
import { addDays, daysBetween } from '#shared/days.ts';
import { factSourceWords } from '#shared/fact-source.ts';
import type { TradeFacts } from '#shared/practice.ts';

export type Early = Readonly<{
  /** Days from the treatment to the photographs. */
  days: number;
  treatedOn: string;
  /** The first day on which photographs can be judged. */
  judgedFrom: string;
  text: string;
}>;

/**
 * Null when no treatment lies within `waterLossDays` before the day. Of several treatments the last one decides. A baseline is
 * usually taken on the day of the treatment, ahead of it, so that day counts for after photographs alone.
 */
export function earlyWindow(
  photographedOn: string,
  which: 'before' | 'after',
  treatments: readonly Pick<Treatment, 'on' | 'purpose'>[],
  facts: Pick<TradeFacts, 'waterLossDays'>,
): Early | null {
  const { waterLossDays } = facts;
  const last = treatments
    .filter(({ on }) => daysBetween(on, photographedOn) >= (which === 'before' ? 1 : 0) && daysBetween(on, photographedOn) < waterLossDays)
    .sort((a, b) => a.on.localeCompare(b.on))
    .at(-1);
  if (!last) return null;
  const days = daysBetween(last.on, photographedOn);
  const judgedFrom = addDays(last.on, waterLossDays);
  const expected = last.purpose === 'gel-dissolved' ? 'lost water, swelling and bruising are' : 'swelling and bruising are';
  const when = days === 0 ? 'on the day of a treatment' : `${days === 1 ? '1 day' : `${days} days`} after a treatment`;
  return {
    days,
    treatedOn: last.on,
    judgedFrom,
    text:
      `The ${which} photographs were taken ${when} (${last.on}). Within the first ${waterLossDays} days ${expected} expected, so this is early: ` +
      `${which === 'after' ? 'a lasting result can be judged' : 'they are no settled baseline; photographs can be judged'} from ${judgedFrom} on (${factSourceWords(facts, 'waterLossDays')}).`,
  };
}
