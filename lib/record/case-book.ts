/** The book of cases on SQLite: its parts put together in the hands of one person, and the audit beside it. */
import { found } from '#shared/outcome.ts';
import { openAuditTrail } from './audit-trail.ts';
import { caseCompare } from './case-compare.ts';
import { caseComplaints } from './case-complaints.ts';
import { caseCover } from './case-cover.ts';
import { caseErase } from './case-erase.ts';
import { caseFileShelf } from './case-file.ts';
import { handsOf } from './case-hands.ts';
import { casePhotos } from './case-photos.ts';
import { caseReports } from './case-reports.ts';
import { caseTreatments } from './case-treatments.ts';
import type { CaseRecord } from './case-types.ts';
import { caseVisits } from './case-visits.ts';
import type { Database } from './database.ts';
import { practiceShelf } from './practice-shelf.ts';
import type { Vault } from './vault.ts';

export function openCaseBook(db: Database, dataDir: string, vault: Vault): CaseRecord {
  return {
    casesAs: (actor) => {
      if (actor.trim() === '') throw new RangeError('the book of cases is always in the hands of somebody with a name');
      const hands = handsOf(db, dataDir, vault, actor);
      return {
        ...caseCover(hands),
        ...caseFileShelf(hands),
        ...caseErase(hands),
        ...caseVisits(hands),
        ...casePhotos(hands),
        ...caseTreatments(hands),
        ...caseCompare(hands),
        ...caseComplaints(hands),
        ...caseReports(hands),
        ...practiceShelf(hands),
        note: async (line) => {
          await hands.change((log) => {
            log(line);
            return found(null);
          });
        },
      };
    },
    audit: openAuditTrail(db, dataDir),
  };
}
