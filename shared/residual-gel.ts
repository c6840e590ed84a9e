/**
 * Gel left after passes with enzyme, as the practice's own estimate: each pass removes a share of what is there, so (1 - share)^n
 * remains. The share is common practice without a published source, so the answer is a range and never a measurement.
 */
import type { Treatment } from './case.ts';
import type { TradeFacts } from './practice.ts';
import type { ZoneId } from './zones.ts';

/** Share of the gel left, low and high, 0..1. `passes` a whole number from 0. */
export function gelLeft(passes: number, { removedPerPass: [least, most] }: Pick<TradeFacts, 'removedPerPass'>): [number, number] {
  if (!Number.isInteger(passes) || passes < 0) throw new RangeError(`passes are counted from 0, got ${passes}`);
  return [(1 - Math.max(least, most)) ** passes, (1 - Math.min(least, most)) ** passes];
}

/** "4 to 16 %"; small shares keep one digit. */
export function gelLeftWords(passes: number, facts: Pick<TradeFacts, 'removedPerPass'>): string {
  const [low, high] = gelLeft(passes, facts).map(percent) as [string, string];
  return low === high ? `${low} %` : `${low} to ${high} %`;
}

type Pass = Pick<Treatment, 'on' | 'zones' | 'purpose' | 'pass'>;

/**
 * Passes with enzyme in a zone up to and with the last treatment. A number that was entered counts as it stands and what follows is added;
 * gel placed anew begins again from nothing.
 */
export function passesOf(zone: ZoneId, treatments: readonly Pass[]): number {
  const own = treatments.filter(({ zones }) => zones.includes(zone)).toSorted((a, b) => a.on.localeCompare(b.on));
  return own.reduce((passes, { purpose, pass }) => {
    if (purpose === 'gel-placed') return 0;
    return purpose === 'gel-dissolved' ? (pass ?? passes + 1) : passes;
  }, 0);
}

function percent(share: number): string {
  const value = 100 * share;
  return value >= 10 || value === 0
    ? value.toFixed(0)
    : value >= 1
      ? String(Number(value.toFixed(1)))
      : String(Number(value.toPrecision(1)));
}
