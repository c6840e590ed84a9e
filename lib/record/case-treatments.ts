/** Treatments of a case: what was done, where, and with how much. */
import { type TreatmentDraft, treatmentDraftSchema } from '#shared/case.ts';
import { found, refused } from '#shared/outcome.ts';
import { changedMeanwhile, gone, type Hands, newId } from './case-hands.ts';
import { PURPOSE, sealed, treatmentOf } from './case-rows.ts';
import type { CaseBook } from './case-types.ts';

type Part = Pick<CaseBook, 'addTreatment' | 'editTreatment' | 'deleteTreatment'>;

export function caseTreatments({ db, vault, change }: Hands): Part {
  const rowOf = (id: string) => db.get('SELECT * FROM treatment WHERE id = ?', id);
  return {
    addTreatment: (caseId, given) => {
      const { on, ...rest } = treatmentDraftSchema.parse(given);
      return change((log) => {
        if (!db.get('SELECT 1 FROM patient_case WHERE id = ?', caseId)) return gone('The case');
        const no = unfit(rest);
        if (no) return no;
        const id = newId();
        db.run(
          'INSERT INTO treatment (id, case_id, on_day, sealed, revision) VALUES (?, ?, ?, ?, 1)',
          id,
          caseId,
          on,
          sealed(vault, PURPOSE.treatment(id), rest),
        );
        log({ action: 'add', what: 'treatment', id, case: caseId, facts: { on } });
        return found(treatmentOf(vault, rowOf(id)!));
      });
    },
    editTreatment: (id, revision, given) => {
      const { on, ...rest } = treatmentDraftSchema.parse(given);
      return change((log) => {
        const row = rowOf(id);
        if (!row) return gone('The treatment');
        if (row.revision !== revision) return changedMeanwhile('The treatment');
        const no = unfit(rest);
        if (no) return no;
        const text = sealed(vault, PURPOSE.treatment(id), rest);
        db.run('UPDATE treatment SET on_day = ?, sealed = ?, revision = revision + 1 WHERE id = ?', on, text, id);
        log({ action: 'change', what: 'treatment', id, case: String(row.case_id), facts: { on, formerOn: String(row.on_day) } });
        return found(treatmentOf(vault, rowOf(id)!));
      });
    },
    deleteTreatment: (id, revision) =>
      change((log) => {
        const row = rowOf(id);
        if (!row) return gone('The treatment');
        if (row.revision !== revision) return changedMeanwhile('The treatment');
        db.run('DELETE FROM treatment WHERE id = ?', id);
        log({ action: 'delete', what: 'treatment', id, case: String(row.case_id), facts: { on: String(row.on_day) } });
        return found(true as const);
      }),
  };
}

/** Enzyme belongs to gel that was dissolved; units beside any other purpose would be counted as if they had been given. */
const unfit = ({ purpose, enzyme }: Pick<TreatmentDraft, 'purpose' | 'enzyme'>) =>
  enzyme !== null && purpose !== 'gel-dissolved'
    ? refused('unfit', 'Enzyme is recorded where gel was dissolved only. Choose that purpose, or leave the enzyme away.')
    : null;
