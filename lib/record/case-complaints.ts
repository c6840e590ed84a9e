/**
 * A complaint, in its order: opened, heard, rated by eye, the measurement shown, concluded. Each part is recorded once with its time and
 * never changed; what is said later is added below.
 */
import {
  COMPLAINT_STAGES,
  type Complaint,
  type ComplaintStage,
  complaintDraftSchema,
  conclusionSchema,
  examinerPartSchema,
  patientPartSchema,
} from '#shared/case.ts';
import { idSchema } from '#shared/job.ts';
import { found, type Outcome, type Refusal, refused } from '#shared/outcome.ts';
import { changedMeanwhile, gone, type Hands, type Log, newId } from './case-hands.ts';
import { complaintOf, PURPOSE, sealed } from './case-rows.ts';
import type { CaseBook, CaseFault } from './case-types.ts';
import { visitRow } from './case-visits.ts';
import type { Row } from './database.ts';
import { now } from './now.ts';

type Part = Pick<CaseBook, 'openComplaint' | 'complaint' | 'hear' | 'rate' | 'reveal' | 'conclude' | 'addToComplaint'>;

const LONGEST_ADDITION = 8_000;

export function caseComplaints(hands: Hands): Part {
  const { db, vault, actor, change } = hands;
  const rowOf = (id: string) => db.get('SELECT * FROM complaint WHERE id = ?', id);

  /** Takes a complaint from the stage before `to` to `to`; `work` writes that part's columns. */
  const advance = (id: string, revision: number, to: ComplaintStage, work: (row: Row, log: Log) => Outcome<null, CaseFault>) =>
    change<Complaint>((log) => {
      const row = rowOf(id);
      if (!row) return gone('The complaint');
      if (row.revision !== revision) return changedMeanwhile('The complaint');
      const no = outOfOrder(row.stage as ComplaintStage, to);
      if (no) return no;
      const done = work(row, log);
      if (!done.ok) return done;
      db.run('UPDATE complaint SET stage = ?, revision = revision + 1 WHERE id = ?', to, id);
      return found(readComplaint(hands, rowOf(id)!));
    });

  return {
    openComplaint: (caseId, given) => {
      const draft = complaintDraftSchema.parse(given);
      return change((log) => {
        if (!db.get('SELECT 1 FROM patient_case WHERE id = ?', caseId)) return gone('The case');
        const [before, after] = [visitRow(hands, draft.beforeVisit), visitRow(hands, draft.afterVisit)];
        if (!before || !after || before.case_id !== caseId || after.case_id !== caseId) return gone('One of the visits');
        if (before.id === after.id || before.on_day! > after.on_day!)
          return refused('unfit', 'A complaint needs two different visits, the earlier one as the one before. Choose them again.');
        const id = newId();
        db.run(
          `INSERT INTO complaint (id, case_id, on_day, before_visit, after_visit, stage, opened_at, revision) VALUES (?, ?, ?, ?, ?, 'opened', ?, 1)`,
          id,
          caseId,
          draft.on,
          draft.beforeVisit,
          draft.afterVisit,
          now(),
        );
        log({ action: 'add', what: 'complaint', id, case: caseId, facts: { on: draft.on } });
        return found(readComplaint(hands, rowOf(id)!));
      });
    },
    complaint: async (id) => {
      const row = rowOf(id);
      return row ? readComplaint(hands, row) : null;
    },
    hear: (id, revision, given) => {
      const part = patientPartSchema.parse(given);
      return advance(id, revision, 'heard', (row, log) => {
        if (part.callsMe !== null && !db.get('SELECT 1 FROM visit_photo WHERE case_id = ? AND sha256 = ?', row.case_id!, part.callsMe))
          return refused('unfit', 'The photograph that the patient named is not in this case. Choose one of its own.');
        const text = sealed(vault, PURPOSE.heard(id), part);
        db.run(
          `UPDATE complaint SET stage = 'heard', heard_at = ?, heard_sealed = ?, calls_me = ? WHERE id = ?`,
          now(),
          text,
          part.callsMe,
          id,
        );
        log({ action: 'change', what: 'complaint', id, case: String(row.case_id), facts: { stage: 'heard', zones: part.zones.length } });
        return found(null);
      });
    },
    rate: (id, revision, given) => {
      const part = examinerPartSchema.parse(given);
      return advance(id, revision, 'rated', (row, log) => {
        const named = readComplaint(hands, row).patient?.part.zones ?? [];
        const ungraded = named.filter((zone) => part.grades[zone] === undefined);
        if (ungraded.length > 0)
          return refused(
            'unfit',
            `Grade every zone that the patient named; still to grade: ${ungraded.join(', ')}. "Cannot say" is an answer.`,
          );
        db.run('UPDATE complaint SET rated_at = ?, rated_sealed = ? WHERE id = ?', now(), sealed(vault, PURPOSE.rated(id), part), id);
        const seen = resultsSeenBefore(hands, row);
        log({ action: 'change', what: 'complaint', id, case: String(row.case_id), facts: { stage: 'rated', resultsSeenBefore: seen } });
        return found(null);
      });
    },
    reveal: (id, revision, givenComparison) => {
      const comparison = idSchema.parse(givenComparison);
      return advance(id, revision, 'revealed', (row, log) => {
        const fits = db.get(
          `SELECT 1 FROM case_comparison JOIN comparison ON comparison.id = case_comparison.id
           WHERE case_comparison.id = ? AND before_visit = ? AND after_visit = ?`,
          comparison,
          row.before_visit!,
          row.after_visit!,
        );
        if (!fits)
          return refused(
            'unfit',
            "This is no finished comparison of the complaint's two visits. Compare them, and wait until it is measured.",
          );
        db.run('UPDATE complaint SET revealed_at = ?, revealed_comparison = ? WHERE id = ?', now(), comparison, id);
        log({ action: 'change', what: 'complaint', id, case: String(row.case_id), facts: { stage: 'revealed', comparison } });
        return found(null);
      });
    },
    conclude: (id, revision, given) => {
      const part = conclusionSchema.parse(given);
      return advance(id, revision, 'concluded', (row, log) => {
        db.run(
          'UPDATE complaint SET concluded_at = ?, concluded_sealed = ? WHERE id = ?',
          now(),
          sealed(vault, PURPOSE.concluded(id), part),
          id,
        );
        log({ action: 'change', what: 'complaint', id, case: String(row.case_id), facts: { stage: 'concluded' } });
        return found(null);
      });
    },
    addToComplaint: (id, given) =>
      change((log) => {
        const row = rowOf(id);
        if (!row) return gone('The complaint');
        const text = given.trim();
        if (text === '' || text.length > LONGEST_ADDITION)
          return refused('unfit', `An addition has 1 to ${LONGEST_ADDITION} characters. Write something, or write it in parts.`);
        const n = 1 + Number(db.get('SELECT count(*) AS n FROM complaint_addition WHERE complaint = ?', id)!.n);
        const content = sealed(vault, PURPOSE.addition(id, n), { by: actor, text });
        db.run('INSERT INTO complaint_addition (complaint, n, at, sealed) VALUES (?, ?, ?, ?)', id, n, now(), content);
        // What stands is not changed by it, so an editor of the next part need not load it again.
        log({ action: 'change', what: 'complaint', id, case: String(row.case_id), facts: { addition: n } });
        return found(readComplaint(hands, row));
      }),
  };
}

export const readComplaint = ({ db, vault }: Hands, row: Row): Complaint =>
  complaintOf(vault, row, db.all('SELECT * FROM complaint_addition WHERE complaint = ? ORDER BY n', row.id!));

function outOfOrder(stage: ComplaintStage, to: ComplaintStage): Refusal<CaseFault> | null {
  const [at, wanted] = [COMPLAINT_STAGES.indexOf(stage), COMPLAINT_STAGES.indexOf(to)];
  if (at >= wanted)
    return refused('locked', 'This part of the complaint is recorded, and is not changed any more. Add what is new as an addition.');
  if (at < wanted - 1) return refused('out-of-order', MISSING[COMPLAINT_STAGES[at + 1]!]);
  return null;
}

const MISSING: Readonly<Record<ComplaintStage, string>> = {
  opened: 'The complaint is to be opened first.',
  heard: "The patient's own words come first. Record them.",
  rated: 'The rating by eye comes before the measurement is shown. Record it first.',
  revealed: 'The measurement has not been shown yet. Show it before concluding.',
  concluded: 'The complaint has not been concluded yet.',
};

/** How often a comparison of the two visits was opened before the rating: it cannot be prevented, but it is not hidden. */
const resultsSeenBefore = ({ db }: Hands, row: Row): number =>
  Number(
    db.get(
      `SELECT count(*) AS n FROM audit WHERE case_id = ? AND action IN ('view', 'export') AND what = 'comparison'
       AND id IN (SELECT id FROM case_comparison WHERE before_visit = ? AND after_visit = ?)`,
      row.case_id!,
      row.before_visit!,
      row.after_visit!,
    )!.n,
  );
