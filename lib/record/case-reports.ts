/** Reports as PDF: a draft can be replaced, a signed one is locked, and what comes after it is the next version. */
import { createHash } from 'node:crypto';
import { renameSync } from 'node:fs';
import { rm } from 'node:fs/promises';
import { dirname } from 'node:path';
import type { CaseReport, ReportKind } from '#shared/case.ts';
import { found, refused } from '#shared/outcome.ts';
import { gone, type Hands, newId } from './case-hands.ts';
import { PURPOSE, reportOf, sealed } from './case-rows.ts';
import type { CaseBook } from './case-types.ts';
import type { Database } from './database.ts';
import { flushDir, makePrivateDir, readIfThere, unfinishedName, writeWhole } from './files.ts';
import { now } from './now.ts';
import { dropReportFile, reportPlace } from './report-places.ts';
import { damaged } from './seal-format.ts';

type Part = Pick<CaseBook, 'putReport' | 'signReport' | 'report' | 'reportPdf'>;

export function caseReports({ db, dataDir, vault, change }: Hands): Part {
  const rowOf = (id: string) => db.get('SELECT * FROM case_report WHERE id = ?', id);

  /**
   * Puts the sealed PDF in place while `work` writes its row: the file lies ready under another name, and takes its own under the write
   * lock, so that a deletion at the same moment cannot leave a row without its file.
   */
  const keep = async (pdf: Uint8Array, work: (sha256: string, place: () => void) => ReturnType<typeof change<CaseReport>>) => {
    if (Buffer.from(pdf.subarray(0, 5)).toString('latin1') !== '%PDF-') throw new RangeError('a report is a PDF');
    const sha256 = createHash('sha256').update(pdf).digest('hex');
    const path = reportPlace(dataDir, sha256);
    await makePrivateDir(dirname(path));
    const ready = unfinishedName(path);
    await writeWhole(ready, vault.sealBytes(pdf, PURPOSE.pdf(sha256)));
    try {
      const kept = await work(sha256, () => renameSync(ready, path));
      await flushDir(dirname(path));
      return kept;
    } finally {
      await rm(ready, { force: true });
    }
  };

  return {
    putReport: (caseId, kind, about, pdf) =>
      keep(pdf, (sha256, place) =>
        change((log) => {
          if (!db.get('SELECT 1 FROM patient_case WHERE id = ?', caseId)) return gone('The case');
          if (!isOfCase(db, caseId, kind, about)) return gone(kind === 'complaint' ? 'The complaint' : 'What the report is about');
          const newest = db.get('SELECT * FROM case_report WHERE kind = ? AND about = ? ORDER BY version DESC LIMIT 1', kind, about);
          const draft = newest && newest.signed_at === null ? newest : null;
          if (draft) db.run('DELETE FROM case_report WHERE id = ?', draft.id!);
          const id = newId();
          const version = draft ? Number(draft.version) : Number(newest?.version ?? 0) + 1;
          db.run(
            'INSERT INTO case_report (id, case_id, kind, about, version, created_at, sha256, bytes) VALUES (?, ?, ?, ?, ?, ?, ?, ?)',
            id,
            caseId,
            kind,
            about,
            version,
            now(),
            sha256,
            pdf.length,
          );
          log({ action: draft ? 'change' : 'add', what: 'report', id, case: caseId, facts: { kind, about, version, sha256 } });
          place();
          if (draft) db.afterCommit(() => dropReportFile(db, dataDir, String(draft.sha256)));
          return found(reportOf(vault, rowOf(id)!));
        }),
      ),
    signReport: (draftId, givenName, pdf) => {
      const by = givenName.trim();
      if (by === '' || by.length > 120) return Promise.resolve(refused('unfit', 'Who signs is named with 1 to 120 characters.'));
      return keep(pdf, (sha256, place) =>
        change((log) => {
          const row = rowOf(draftId);
          if (!row)
            return refused(
              'changed-meanwhile',
              'This draft was replaced by a newer one, or deleted. Load the newest and read it before signing.',
            );
          if (row.signed_at !== null)
            return refused('locked', 'This report is signed, and is not changed any more. A new draft makes the next version.');
          db.run(
            'UPDATE case_report SET signed_at = ?, signed_sealed = ?, sha256 = ?, bytes = ? WHERE id = ?',
            now(),
            sealed(vault, PURPOSE.signature(draftId), { by }),
            sha256,
            pdf.length,
            draftId,
          );
          const facts = { kind: String(row.kind), about: String(row.about), version: Number(row.version), sha256 };
          log({ action: 'sign', what: 'report', id: draftId, case: String(row.case_id), facts });
          place();
          db.afterCommit(() => dropReportFile(db, dataDir, String(row.sha256)));
          return found(reportOf(vault, rowOf(draftId)!));
        }),
      );
    },
    report: async (id) => {
      const row = rowOf(id);
      return row ? reportOf(vault, row) : null;
    },
    reportPdf: async (id) => {
      const row = rowOf(id);
      if (!row) return null;
      const sha256 = String(row.sha256);
      const kept = await readIfThere(reportPlace(dataDir, sha256));
      // A row whose file is gone was tampered with from outside.
      if (!kept) throw damaged('The file of this report');
      const pdf = vault.openBytes(kept, PURPOSE.pdf(sha256));
      await change((log) => {
        log({ action: 'export', what: 'report', id, case: String(row.case_id), facts: { sha256 } });
        return found(null);
      });
      return pdf;
    },
  };
}

/** A report is about a comparison or a complaint of the case; a sheet for the patient, about either. */
function isOfCase(db: Database, caseId: string, kind: ReportKind, about: string): boolean {
  const comparison = () => db.get('SELECT 1 FROM case_comparison WHERE id = ? AND case_id = ?', about, caseId) !== undefined;
  const complaint = () => db.get('SELECT 1 FROM complaint WHERE id = ? AND case_id = ?', about, caseId) !== undefined;
  if (kind === 'comparison') return comparison();
  return kind === 'complaint' ? complaint() : comparison() || complaint();
}
