/**
 * One check of the gate: a number against its bounds, with the words for either outcome.
 */
import type { Check, View } from '#shared/comparison.ts';

export type Bounds = Readonly<{ caution: number | null; refuse: number | null; sense: 'at-most' | 'at-least' }>;

export type CheckSpec = Readonly<{
  id: Check['id'];
  of: Check['of'];
  view: View;
  /** Null where there is nothing to measure: the check passes. */
  value: number | null;
  unit: string;
  bounds: Bounds;
  /** What was found. */
  message: string;
  /** What to do about it, when it does not pass. */
  advice: string;
}>;

export function judged({ bounds, value, advice, ...spec }: CheckSpec): Check {
  const verdict = verdictOf(value, bounds);
  return { ...spec, value, verdict, limit: { ...bounds }, advice: verdict === 'pass' ? '' : advice };
}

/** A value that is not a number was not measurable although it had to be: that is refused, never passed. */
function verdictOf(value: number | null, { caution, refuse, sense }: Bounds): Check['verdict'] {
  if (value === null) return 'pass';
  const beyond = (limit: number | null): boolean => limit !== null && !(sense === 'at-most' ? value <= limit : value >= limit);
  return beyond(refuse) ? 'refuse' : beyond(caution) ? 'caution' : 'pass';
}

export const atMost = (caution: number | null, refuse: number | null): Bounds => ({ caution, refuse, sense: 'at-most' });
export const atLeast = (caution: number | null, refuse: number | null): Bounds => ({ caution, refuse, sense: 'at-least' });

/** 0.123 becomes "12 %". */
export const percent = (ratio: number): string => `${(100 * ratio).toFixed(Math.abs(ratio) < 0.01 && ratio !== 0 ? 1 : 0)} %`;
/** Two digits that matter: "0.31 mm", "2.4 mm", "12 mm". */
export const sized = (value: number, unit: string): string =>
  `${Math.abs(value) >= 10 ? value.toFixed(0) : Math.abs(value) >= 1 ? value.toFixed(1) : value.toFixed(2)} ${unit}`;
export const degrees = (value: number): string => `${Math.abs(value).toFixed(1)}°`;
