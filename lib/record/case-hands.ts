/**
 * What every part of the book works with: the tables, the vault, whose hands they are, and the one way of changing anything, which
 * writes the audit's line in the same transaction.
 */
import { randomBytes } from 'node:crypto';
import type { AuditLine } from '#shared/case.ts';
import { type Outcome, type Refusal, refused } from '#shared/outcome.ts';
import { type AuditHead, keepHead } from './audit-head.ts';
import { addLine } from './audit-trail.ts';
import type { CaseFault } from './case-types.ts';
import type { Database } from './database.ts';
import { now } from './now.ts';
import type { Vault } from './vault.ts';

export type Entry = Pick<AuditLine, 'action' | 'what' | 'id' | 'case' | 'facts'>;
export type Log = (entry: Entry) => void;

export type Hands = Readonly<{
  db: Database;
  dataDir: string;
  vault: Vault;
  actor: string;
  /**
   * Runs `work` under the write lock, with its lines of the audit, whole or not at all: a refusal takes back what was written before
   * it. What it returns is on the disk.
   */
  change: <T>(work: (log: Log) => Outcome<T, CaseFault>) => Promise<Outcome<T, CaseFault>>;
}>;

export function handsOf(db: Database, dataDir: string, vault: Vault, actor: string): Hands {
  return {
    db,
    dataDir,
    vault,
    actor,
    change: async (work) => {
      let head: AuditHead | null = null;
      const log: Log = (entry) => {
        head = addLine(db, { actor, ...entry });
        if (entry.case !== null && CHANGES.has(entry.action))
          db.run('UPDATE patient_case SET touched_at = ? WHERE id = ?', now(), entry.case);
      };
      try {
        const value = db.transaction(
          () => {
            const outcome = work(log);
            if (!outcome.ok) throw new TakenBack(outcome);
            return outcome;
          },
          { durable: true },
        );
        if (head) keepHead(dataDir, head);
        return value;
      } catch (error) {
        if (error instanceof TakenBack) return error.refusal;
        throw error;
      }
    },
  };
}

const CHANGES: ReadonlySet<string> = new Set<AuditLine['action']>(['add', 'change', 'sign', 'delete']);

/** Carries a refusal out of a transaction. */
class TakenBack extends Error {
  readonly refusal: Refusal<CaseFault>;

  constructor(refusal: Refusal<CaseFault>) {
    super(refusal.detail);
    this.refusal = refusal;
  }
}

export const newId = (): string => randomBytes(16).toString('hex');

/** `thing` with its article, such as "The visit". */
export const gone = (thing: string): Refusal<CaseFault> =>
  refused('gone', `${thing} is no longer in the record; somebody may have deleted it. Go back to the list of cases.`);

export const changedMeanwhile = (thing: string): Refusal<CaseFault> =>
  refused(
    'changed-meanwhile',
    `${thing} was changed by somebody else meanwhile, so nothing was written. Load it again, and enter your change anew.`,
  );
