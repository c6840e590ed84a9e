/** The audit in its table: lines are added inside the transaction of the change they tell of, read back, and checked. */
import { canonicalJson } from '#shared/canonical-json.ts';
import { type AuditLine, auditLineSchema } from '#shared/case.ts';
import { BEFORE_FIRST, lineHash, lineOf, whyNotNext } from './audit-chain.ts';
import { type AuditHead, keptHead } from './audit-head.ts';
import type { AuditTrail } from './case-types.ts';
import type { Database } from './database.ts';
import { now } from './now.ts';

/** A line before it has a number, a time and a hash. */
export type AuditEntry = Pick<AuditLine, 'actor' | 'action' | 'what' | 'id' | 'case' | 'facts'>;

/** Lines read at once while the chain is walked. */
const STRIDE = 2_000;
const MOST_LINES = 1_000;

const entrySchema = auditLineSchema.omit({ n: true, at: true, hash: true });

/** Adds one line; only to be called inside a transaction, whose write lock keeps two processes from taking the same number. */
export function addLine(db: Database, given: AuditEntry): AuditHead {
  const entry = entrySchema.parse(given);
  const last = db.get('SELECT n, hash FROM audit ORDER BY n DESC LIMIT 1');
  const line = { n: Number(last?.n ?? 0) + 1, at: now(), ...entry };
  const hash = lineHash(String(last?.hash ?? BEFORE_FIRST), line);
  db.run(
    'INSERT INTO audit (n, at, actor, action, what, id, case_id, facts, hash) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)',
    line.n,
    line.at,
    line.actor,
    line.action,
    line.what,
    line.id,
    line.case,
    canonicalJson(line.facts),
    hash,
  );
  return { n: line.n, hash };
}

export function openAuditTrail(db: Database, dataDir: string): AuditTrail {
  return {
    lines: async ({ case: caseId, before, limit = 200 } = {}) => {
      const most = Math.min(limit, MOST_LINES);
      const under = before ?? Number.MAX_SAFE_INTEGER;
      const rows =
        caseId === undefined
          ? db.all('SELECT * FROM audit WHERE n < ? ORDER BY n DESC LIMIT ?', under, most)
          : db.all('SELECT * FROM audit WHERE case_id = ? AND n < ? ORDER BY n DESC LIMIT ?', caseId, under, most);
      return rows.map(lineOf);
    },
    verify: async (noted) => {
      // Read first: lines that others add meanwhile only make the chain longer than the head that was kept.
      const kept = keptHead(dataDir);
      const known = [noted ? { ...noted, where: 'the head that was noted down' } : null, asKnown(kept)].filter((one) => one !== null);
      let lines = 0;
      let head = BEFORE_FIRST;
      const bad = (firstBad: number, why: string) => ({ lines, head, ok: false as const, firstBad, why });
      if (db.get('SELECT 1 FROM audit WHERE n < 1 LIMIT 1')) return bad(1, 'There is a line before the first.');
      for (;;) {
        const rows = db.all('SELECT * FROM audit WHERE n > ? ORDER BY n LIMIT ?', lines, STRIDE);
        if (rows.length === 0) break;
        for (const row of rows) {
          const why = whyNotNext(row, lines + 1, head);
          if (why !== null) return bad(lines + 1, why);
          lines++;
          head = String(row.hash);
          const other = known.find(({ n, hash }) => n === lines && hash !== head);
          if (other) return bad(lines, `Line ${lines} has another hash than ${other.where}: the lines up to it were written anew.`);
        }
      }
      const longer = known.find(({ n }) => n > lines);
      if (longer) return bad(lines + 1, `The last lines are missing: there are ${lines}, and ${longer.where} is of line ${longer.n}.`);
      if (kept === 'unreadable')
        return bad(lines + 1, 'The file audit-head is not as the program writes it, so missing last lines would not show.');
      return { lines, head, ok: true, outside: kept === 'missing' ? 'none' : 'agrees' };
    },
  };
}

const asKnown = (kept: ReturnType<typeof keptHead>) =>
  typeof kept === 'object' ? { ...kept, where: 'the head in the file audit-head' } : null;
