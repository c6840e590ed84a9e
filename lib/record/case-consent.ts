/** Whether a case has a consent to photographs that stands. */
import type { Database } from './database.ts';

export const hasConsent = (db: Database, caseId: string): boolean =>
  db.get(`SELECT 1 FROM consent WHERE case_id = ? AND kind = 'photographs' AND withdrawn_on IS NULL LIMIT 1`, caseId) !== undefined;
