/** Days from a treatment to the photographs after it: calendar days, as a clinician counts them. */

const DAY_MS = 86_400_000;

/**
 * `treatedOn` and `afterOn` are `YYYY-MM-DD`; `takenAt` are camera times `YYYY-MM-DDThh:mm:ss` or null. The given day of the
 * after photographs wins over the cameras'; of several cameras' days the earliest counts, which is the careful side.
 * Undefined when a day is missing.
 */
export function daysSinceTreatment(
  treatedOn: string | undefined,
  afterOn: string | undefined,
  takenAt: readonly (string | null)[],
): number | undefined {
  const after = afterOn ?? takenAt.flatMap((time) => (time ? [time.slice(0, 10)] : [])).sort()[0];
  if (treatedOn === undefined || after === undefined) return undefined;
  const days = Math.round((Date.parse(`${after}T00:00:00Z`) - Date.parse(`${treatedOn}T00:00:00Z`)) / DAY_MS);
  return Number.isNaN(days) ? undefined : days;
}
