/** Everything of one case at once, as its page shows it: a handful of queries, whatever the number of visits. */
import type { CaseFile } from '#shared/case.ts';
import { found } from '#shared/outcome.ts';
import { readComplaint } from './case-complaints.ts';
import type { Hands } from './case-hands.ts';
import { caseComparisonOf, caseOf, consentOf, reportOf, treatmentOf, visitOf } from './case-rows.ts';
import type { CaseBook } from './case-types.ts';
import type { Row } from './database.ts';

export function caseFileShelf(hands: Hands): Pick<CaseBook, 'openCase' | 'caseFile'> {
  const { db, vault, change } = hands;
  const read = (id: string): CaseFile | null => {
    const row = db.get('SELECT * FROM patient_case WHERE id = ?', id);
    if (!row) return null;
    const photos = new Map<string, Row[]>();
    for (const photo of db.all('SELECT * FROM visit_photo WHERE case_id = ? ORDER BY seq', id)) {
      const visit = String(photo.visit);
      photos.set(visit, [...(photos.get(visit) ?? []), photo]);
    }
    return {
      patientCase: caseOf(vault, row),
      consents: db
        .all('SELECT * FROM consent WHERE case_id = ? ORDER BY given_on, recorded_at, id', id)
        .map((one) => consentOf(vault, one)),
      visits: db
        .all('SELECT * FROM visit WHERE case_id = ? ORDER BY on_day, rowid', id)
        .map((one) => visitOf(vault, one, photos.get(String(one.id)) ?? [])),
      treatments: db.all('SELECT * FROM treatment WHERE case_id = ? ORDER BY on_day, rowid', id).map((one) => treatmentOf(vault, one)),
      complaints: db.all('SELECT * FROM complaint WHERE case_id = ? ORDER BY on_day, rowid', id).map((one) => readComplaint(hands, one)),
      comparisons: db.all('SELECT * FROM case_comparison WHERE case_id = ? ORDER BY created_at, rowid', id).map(caseComparisonOf),
      reports: db.all('SELECT * FROM case_report WHERE case_id = ? ORDER BY created_at, rowid', id).map((one) => reportOf(vault, one)),
    };
  };
  return {
    caseFile: async (id) => read(id),
    openCase: async (id) => {
      const file = read(id);
      if (!file) return null;
      await change((log) => {
        log({ action: 'view', what: 'case', id, case: id, facts: {} });
        return found(null);
      });
      return file;
    },
  };
}
