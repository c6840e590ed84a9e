/** Lines of the audit in words. */
import type { AuditLine } from '#shared/case.ts';

const ACTION_WORDS: Readonly<Record<AuditLine['action'], string>> = {
  view: 'looked at',
  add: 'added',
  change: 'changed',
  sign: 'signed',
  export: 'took away a copy of',
  delete: 'removed',
  'sign-in': 'signed in',
  'sign-in-refused': 'was refused at signing in',
  restore: 'restored',
};

export const actionWords = (action: AuditLine['action']): string => ACTION_WORDS[action];

/** "on 2026-11-20, zones 2"; empty when there are none. */
export const factWords = (facts: AuditLine['facts']): string =>
  Object.entries(facts)
    .filter(([, value]) => value !== null && value !== '')
    .map(([name, value]) => `${name.replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`)} ${short(String(value))}`)
    .join(', ');

/** An id by its first digits. */
export const short = (text: string): string => (/^[0-9a-f]{32,64}$/.test(text) ? text.slice(0, 8) : text);
