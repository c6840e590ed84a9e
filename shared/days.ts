/** Calendar days, `YYYY-MM-DD`, counted without a clock: a day is a day wherever the program runs. */

const DAY_MS = 86_400_000;

/** The day `days` later; earlier when negative. Throws RangeError for what is no day. */
export function addDays(day: string, days: number): string {
  return new Date(dayMs(day) + days * DAY_MS).toISOString().slice(0, 10);
}

/** Whole days from one day to another; negative when `to` is earlier. */
export const daysBetween = (from: string, to: string): number => Math.round((dayMs(to) - dayMs(from)) / DAY_MS);

function dayMs(day: string): number {
  const ms = /^\d{4}-\d{2}-\d{2}$/.test(day) ? Date.parse(`${day}T00:00:00Z`) : Number.NaN;
  if (Number.isNaN(ms)) throw new RangeError(`a day is written YYYY-MM-DD, got ${day}`);
  return ms;
}
