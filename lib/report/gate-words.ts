/** The words of a check in a report: whose it is, what it found, and its limits. Plain text; whoever writes HTML escapes it. */
import type { Check } from '#shared/comparison.ts';
import { withUnit } from '#shared/numbers.ts';
import { viewWords } from './view-words.ts';

export const VERDICT_WORDS: Readonly<Record<Check['verdict'], string>> = {
  pass: '\u2713 passed',
  caution: '\u25b3 noted',
  refuse: '\u2715 refused',
};
const OF_WORDS: Readonly<Record<Check['of'], string>> = { before: 'Before', after: 'After', pair: 'Pair', photo: 'Photograph' };

/** "Before, from the front". */
export const whoseCheck = (check: Pick<Check, 'of' | 'view'>): string => `${OF_WORDS[check.of]}, ${viewWords(check.view).toLowerCase()}`;

const short = (value: number): string => String(Number(value.toPrecision(3)));

/** Empty when the check has no number. */
export const checkValue = ({ value, unit }: Pick<Check, 'value' | 'unit'>): string => (value === null ? '' : withUnit(short(value), unit));

/** "≤ 5 / ≤ 10": noted beyond the first, refused beyond the second. */
export function checkLimits({ limit }: Pick<Check, 'limit'>): string {
  const sign = limit.sense === 'at-most' ? '\u2264' : '\u2265';
  return [limit.caution, limit.refuse].flatMap((bound) => (bound === null ? [] : [`${sign} ${short(bound)}`])).join(' / ');
}

/** What was refused, then what was noted. */
export const notedChecks = (checks: readonly Check[]): Check[] => [
  ...checks.filter(({ verdict }) => verdict === 'refuse'),
  ...checks.filter(({ verdict }) => verdict === 'caution'),
];

/** What passed, a line for each photograph: "focus 0.19 mm (≤ 0.35), ...". */
export function passedChecks(checks: readonly Check[]): { whose: string; said: string }[] {
  const groups = new Map<string, string[]>();
  for (const check of checks) {
    if (check.verdict !== 'pass') continue;
    const value = checkValue(check);
    const limits = checkLimits(check);
    const said = [check.id.replaceAll('-', ' '), value, value && limits ? `(${limits})` : ''].filter(Boolean).join(' ');
    groups.set(whoseCheck(check), [...(groups.get(whoseCheck(check)) ?? []), said]);
  }
  return [...groups].map(([whose, said]) => ({ whose, said: said.join(', ') }));
}
