/** The cover of a case: code, sealed name, birth year and note; the list of all covers; and what the patient agreed to. */
import { caseDraftSchema, consentDraftSchema } from '#shared/case.ts';
import { daySchema } from '#shared/job.ts';
import { found, refused } from '#shared/outcome.ts';
import { changedMeanwhile, gone, type Hands, newId } from './case-hands.ts';
import { caseOf, consentOf, PURPOSE, sealed } from './case-rows.ts';
import type { CaseBook, CaseSummary } from './case-types.ts';
import type { Row } from './database.ts';
import { now } from './now.ts';

const LIST_LIMIT = 500;

type Part = Pick<CaseBook, 'addCase' | 'editCase' | 'listCases' | 'addConsent' | 'withdrawConsent'>;

export function caseCover({ db, vault, change }: Hands): Part {
  const caseRow = (id: string) => db.get('SELECT * FROM patient_case WHERE id = ?', id);
  const taken = (code: string, except: string | null) =>
    db.get('SELECT 1 FROM patient_case WHERE code = ? AND id IS NOT ?', code, except)
      ? refused('taken', `The code ${code} is in use by another case. Choose another one.`)
      : null;

  return {
    addCase: (given) => {
      const { code, ...rest } = caseDraftSchema.parse(given);
      return change((log) => {
        const no = taken(code, null);
        if (no) return no;
        const id = newId();
        const at = now();
        db.run(
          'INSERT INTO patient_case (id, code, sealed, created_at, touched_at, revision) VALUES (?, ?, ?, ?, ?, 1)',
          id,
          code,
          sealed(vault, PURPOSE.patientCase(id), rest),
          at,
          at,
        );
        log({ action: 'add', what: 'case', id, case: id, facts: {} });
        return found(caseOf(vault, caseRow(id)!));
      });
    },
    editCase: (id, revision, given) => {
      const { code, ...rest } = caseDraftSchema.parse(given);
      return change((log) => {
        const row = caseRow(id);
        if (!row) return gone('The case');
        if (row.revision !== revision) return changedMeanwhile('The case');
        const no = taken(code, id);
        if (no) return no;
        const text = sealed(vault, PURPOSE.patientCase(id), rest);
        db.run('UPDATE patient_case SET code = ?, sealed = ?, revision = revision + 1 WHERE id = ?', code, text, id);
        log({ action: 'change', what: 'case', id, case: id, facts: { codeChanged: row.code !== code } });
        return found(caseOf(vault, caseRow(id)!));
      });
    },
    listCases: async ({ search = '', limit = LIST_LIMIT } = {}) =>
      db
        .all(
          `SELECT id, code, created_at,
             (SELECT count(*) FROM visit WHERE case_id = c.id) AS visits,
             (SELECT count(*) FROM visit_photo WHERE case_id = c.id) AS photos,
             (SELECT min(on_day) FROM visit WHERE case_id = c.id) AS first_on,
             (SELECT max(on_day) FROM visit WHERE case_id = c.id) AS last_on,
             (SELECT count(*) FROM complaint WHERE case_id = c.id AND stage <> 'concluded') AS open_complaints
           FROM patient_case c WHERE instr(lower(code), lower(?)) > 0 ORDER BY touched_at DESC, id LIMIT ?`,
          search.trim(),
          limit,
        )
        .map(summaryOf),

    addConsent: (caseId, given) => {
      const { kind, givenOn, ...rest } = consentDraftSchema.parse(given);
      return change((log) => {
        if (!caseRow(caseId)) return gone('The case');
        const id = newId();
        db.run(
          'INSERT INTO consent (id, case_id, kind, given_on, recorded_at, sealed) VALUES (?, ?, ?, ?, ?, ?)',
          id,
          caseId,
          kind,
          givenOn,
          now(),
          sealed(vault, PURPOSE.consent(id), rest),
        );
        log({ action: 'add', what: 'consent', id, case: caseId, facts: { kind, givenOn } });
        return found(consentOf(vault, db.get('SELECT * FROM consent WHERE id = ?', id)!));
      });
    },
    withdrawConsent: (caseId, consentId, givenDay) => {
      const on = daySchema.parse(givenDay);
      return change((log) => {
        const row = db.get('SELECT * FROM consent WHERE id = ? AND case_id = ?', consentId, caseId);
        if (!row) return gone('The consent');
        if (row.withdrawn_on !== null)
          return refused('locked', `This consent was withdrawn on ${row.withdrawn_on} already. A new consent can be added.`);
        if (on < String(row.given_on))
          return refused('unfit', `This consent was given on ${row.given_on}, so it cannot be withdrawn on ${on}. Name a later day.`);
        db.run('UPDATE consent SET withdrawn_on = ? WHERE id = ?', on, consentId);
        log({ action: 'change', what: 'consent', id: consentId, case: caseId, facts: { kind: String(row.kind), withdrawnOn: on } });
        return found(consentOf(vault, db.get('SELECT * FROM consent WHERE id = ?', consentId)!));
      });
    },
  };
}

const summaryOf = (row: Row): CaseSummary => ({
  id: String(row.id),
  code: String(row.code),
  visits: Number(row.visits),
  photos: Number(row.photos),
  firstOn: row.first_on === null ? null : String(row.first_on),
  lastOn: row.last_on === null ? null : String(row.last_on),
  openComplaints: Number(row.open_complaints),
  createdAt: String(row.created_at),
});
