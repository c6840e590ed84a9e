/** Whole days from one calendar day to another, `YYYY-MM-DD` each; negative when `to` is earlier. No time zone enters. */
export function daysBetween(from: string, to: string): number {
  const days = (Date.parse(`${to}T00:00:00Z`) - Date.parse(`${from}T00:00:00Z`)) / 86_400_000;
  if (!Number.isFinite(days)) throw new RangeError(`both must be calendar days, got ${from} and ${to}`);
  return Math.round(days);
}
