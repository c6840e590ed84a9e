/**
 * The chain of the audit: each line's hash is the SHA-256 over the hash before it and the line as canonical JSON, so that no line can be
 * changed, taken out or put in without every later hash being wrong. Pure: what is checked here is only ever handed in.
 */
import { createHash } from 'node:crypto';
import { canonicalJson } from '#shared/canonical-json.ts';
import type { AuditLine } from '#shared/case.ts';
import type { Row } from './database.ts';

/** What stands before the first line. */
export const BEFORE_FIRST = '0'.repeat(64);

/** 64 hexadecimal digits. Throws TypeError for facts that JSON cannot say. */
export function lineHash(before: string, { n, at, actor, action, what, id, case: caseId, facts }: Omit<AuditLine, 'hash'>): string {
  const text = canonicalJson({ n, at, actor, action, what, id, case: caseId, facts });
  return createHash('sha256').update(`${before}${text}`, 'utf8').digest('hex');
}

/** The line in a row of its table; nothing is checked. Throws SyntaxError when its facts are no JSON. */
export const lineOf = (row: Row): AuditLine => ({
  n: Number(row.n),
  at: String(row.at),
  actor: String(row.actor),
  action: String(row.action) as AuditLine['action'],
  what: String(row.what),
  id: String(row.id),
  case: row.case_id === null ? null : String(row.case_id),
  facts: JSON.parse(String(row.facts)),
  hash: String(row.hash),
});

/** Null when `row` is line `n` and follows `before`; else the sentence that says what is wrong. */
export function whyNotNext(row: Row, n: number, before: string): string | null {
  if (row.n !== n) return `Line ${n} is missing; the next one there is line ${row.n}.`;
  try {
    const line = lineOf(row);
    // The facts are kept as text: spaces or an order of their own would give the same hash, but were not written by the program.
    if (canonicalJson(line.facts) === row.facts && lineHash(before, line) === row.hash) return null;
  } catch {
    // Falls through: what cannot be read was not written by the program either.
  }
  return `Line ${n} is not as it was written, or the line before it is another: its hash does not follow.`;
}
