/** Visits of a case: added, changed, taken away, and which of them is the baseline. */
import { type Visit, visitDraftSchema } from '#shared/case.ts';
import { found, refused } from '#shared/outcome.ts';
import { erasePhoto } from './case-erase.ts';
import { changedMeanwhile, gone, type Hands, newId } from './case-hands.ts';
import { PURPOSE, sealed, visitOf } from './case-rows.ts';
import type { CaseBook } from './case-types.ts';
import type { Row } from './database.ts';

type Part = Pick<CaseBook, 'addVisit' | 'editVisit' | 'deleteVisit' | 'setBaseline'>;

export function caseVisits(hands: Hands): Part {
  const { db, dataDir, vault, change } = hands;
  return {
    addVisit: (caseId, given) => {
      const draft = visitDraftSchema.parse(given);
      return change((log) => {
        if (!db.get('SELECT 1 FROM patient_case WHERE id = ?', caseId)) return gone('The case');
        const id = insertVisit(hands, caseId, draft);
        log({ action: 'add', what: 'visit', id, case: caseId, facts: { on: draft.on } });
        return found(readVisit(hands, id));
      });
    },
    editVisit: (id, revision, given) => {
      const { on, ...rest } = visitDraftSchema.parse(given);
      return change((log) => {
        const row = visitRow(hands, id);
        if (!row) return gone('The visit');
        if (row.revision !== revision) return changedMeanwhile('The visit');
        const text = sealed(vault, PURPOSE.visit(id), rest);
        db.run('UPDATE visit SET on_day = ?, sealed = ?, revision = revision + 1 WHERE id = ?', on, text, id);
        log({ action: 'change', what: 'visit', id, case: String(row.case_id), facts: { on, formerOn: String(row.on_day) } });
        return found(readVisit(hands, id));
      });
    },
    deleteVisit: async (id, revision) => {
      const answer = await change((log) => {
        const row = visitRow(hands, id);
        if (!row) return gone('The visit');
        if (row.revision !== revision) return changedMeanwhile('The visit');
        const why = whatRestsOnVisit(hands, row);
        if (why) return refused('in-use', `The visit of ${row.on_day} is kept, because ${why} rests on it. Delete that first.`);
        dropFailedComparisons(hands, id);
        const photos = db.all('SELECT sha256 FROM visit_photo WHERE visit = ?', id).map((photo) => String(photo.sha256));
        db.run('DELETE FROM visit WHERE id = ?', id);
        log({ action: 'delete', what: 'visit', id, case: String(row.case_id), facts: { on: String(row.on_day), photos: photos.length } });
        for (const sha256 of photos) erasePhoto(db, dataDir, sha256);
        return found(true as const);
      });
      db.settle();
      return answer;
    },
    setBaseline: (id) =>
      change((log) => {
        const row = visitRow(hands, id);
        if (!row) return gone('The visit');
        db.run('UPDATE visit SET baseline = 0 WHERE case_id = ? AND baseline = 1', row.case_id!);
        db.run('UPDATE visit SET baseline = 1 WHERE id = ?', id);
        log({ action: 'change', what: 'visit', id, case: String(row.case_id), facts: { baseline: true } });
        return found(readVisit(hands, id));
      }),
  };
}

/** A case's first visit is its baseline. Returns the new visit's id. */
export function insertVisit({ db, vault }: Hands, caseId: string, { on, ...rest }: { on: string; label: string; note: string }): string {
  const id = newId();
  const first = db.get('SELECT 1 FROM visit WHERE case_id = ?', caseId) === undefined;
  db.run(
    'INSERT INTO visit (id, case_id, on_day, baseline, sealed, revision) VALUES (?, ?, ?, ?, ?, 1)',
    id,
    caseId,
    on,
    Number(first),
    sealed(vault, PURPOSE.visit(id), rest),
  );
  return id;
}

export const visitRow = ({ db }: Hands, id: string): Row | undefined => db.get('SELECT * FROM visit WHERE id = ?', id);

/** The visit with its photographs in the order they came. Throws when there is none. */
export function readVisit(hands: Hands, id: string): Visit {
  const row = visitRow(hands, id);
  if (!row) throw new RangeError(`there is no visit ${id}`);
  return visitOf(hands.vault, row, hands.db.all('SELECT * FROM visit_photo WHERE visit = ? ORDER BY seq', id));
}

function whatRestsOnVisit({ db }: Hands, { id, case_id: caseId }: Row): string | null {
  if (db.get('SELECT 1 FROM complaint WHERE before_visit = ?1 OR after_visit = ?1', id!)) return 'a complaint';
  const called = db.get(
    'SELECT 1 FROM complaint WHERE case_id = ? AND calls_me IN (SELECT sha256 FROM visit_photo WHERE visit = ?)',
    caseId!,
    id!,
  );
  if (called) return 'a complaint, in which the patient named one of its photographs,';
  const compared = db.get(
    `SELECT 1 FROM case_comparison c JOIN job ON job.id = c.id
     WHERE (before_visit = ?1 OR after_visit = ?1) AND state NOT IN ('failed', 'stopped')`,
    id!,
  );
  return compared ? 'a comparison' : null;
}

/** Comparisons that came to nothing hold no visit. */
function dropFailedComparisons({ db }: Hands, visit: string): void {
  db.run(
    `DELETE FROM job WHERE state IN ('failed', 'stopped') AND id IN (SELECT id FROM case_comparison WHERE before_visit = ?1 OR after_visit = ?1)`,
    visit,
  );
}
