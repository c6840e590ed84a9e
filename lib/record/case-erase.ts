/**
 * Erasing: a whole case, one comparison, one photograph. Rows go in one transaction and are overwritten (secure_delete), files right
 * after it, before the answer; what a crash leaves in between has no row any more, and the next sweep removes it.
 */
import { found, refused } from '#shared/outcome.ts';
import { gone, type Hands } from './case-hands.ts';
import { caseComparisonOf } from './case-rows.ts';
import type { CaseBook } from './case-types.ts';
import { dropComparisonFiles } from './comparison-places.ts';
import type { Database } from './database.ts';
import { forgetPhoto } from './photo-shelf.ts';
import { dropReportFile } from './report-places.ts';

type Part = Pick<CaseBook, 'deleteCase' | 'deleteComparison' | 'caseComparison'>;

export function caseErase({ db, dataDir, change }: Hands): Part {
  const settled = async <T>(work: Promise<T>): Promise<T> => {
    const answer = await work;
    db.settle();
    return answer;
  };
  return {
    deleteCase: (id) =>
      settled(
        change((log) => {
          if (!db.get('SELECT 1 FROM patient_case WHERE id = ?', id)) return gone('The case');
          const photos = texts(db, 'SELECT DISTINCT sha256 AS text FROM visit_photo WHERE case_id = ?', id);
          const comparisons = texts(db, 'SELECT id AS text FROM case_comparison WHERE case_id = ?', id);
          const measured = comparisons.filter((one) => db.get('SELECT 1 FROM comparison WHERE id = ?', one));
          const reports = db.all('SELECT DISTINCT sha256 FROM case_report WHERE case_id = ?', id).map((row) => String(row.sha256));
          const reportCount = Number(db.get('SELECT count(*) AS n FROM case_report WHERE case_id = ?', id)!.n);

          db.run('DELETE FROM case_report WHERE case_id = ?', id);
          db.run('DELETE FROM complaint WHERE case_id = ?', id);
          db.run('DELETE FROM case_comparison WHERE case_id = ?', id);
          for (const one of comparisons) dropComparisonRows(db, one);
          db.run('DELETE FROM patient_case WHERE id = ?', id);
          const leaving = photos.filter((sha256) => !isHeld(db, sha256));
          const erased = { photos: leaving.length, comparisons: measured.length, reports: reportCount };
          log({ action: 'delete', what: 'case', id, case: id, facts: { ...erased, photosKept: photos.length - leaving.length } });

          for (const sha256 of leaving) erasePhoto(db, dataDir, sha256);
          db.afterCommit(() => {
            for (const one of comparisons) dropComparisonFiles(dataDir, one);
            for (const sha256 of reports) dropReportFile(db, dataDir, sha256);
          });
          return found(erased);
        }),
      ),
    caseComparison: async (id) => {
      const row = db.get('SELECT * FROM case_comparison WHERE id = ?', id);
      return row ? { ...caseComparisonOf(row), case: String(row.case_id) } : null;
    },
    deleteComparison: (id) =>
      settled(
        change((log) => {
          const own = db.get('SELECT case_id FROM case_comparison WHERE id = ?', id);
          if (!own && !db.get('SELECT 1 FROM comparison WHERE id = ?', id)) return gone('The comparison');
          const why = whatRestsOn(db, id);
          if (why) return refused('in-use', `This comparison is kept, because ${why} rests on it.`);
          const photos = texts(db, 'SELECT sha256 AS text FROM job_photo WHERE job = ?', id);
          db.run('DELETE FROM case_comparison WHERE id = ?', id);
          dropComparisonRows(db, id);
          log({ action: 'delete', what: 'comparison', id, case: own ? String(own.case_id) : null, facts: {} });
          for (const sha256 of photos) forgetPhoto(db, dataDir, sha256);
          db.afterCommit(() => dropComparisonFiles(dataDir, id));
          return found(true as const);
        }),
      ),
  };
}

/** "a complaint", "a report", or null when the comparison may go. */
export function whatRestsOn(db: Database, comparison: string): string | null {
  if (db.get('SELECT 1 FROM complaint WHERE revealed_comparison = ?', comparison)) return 'a complaint';
  if (db.get('SELECT 1 FROM case_report WHERE about = ?', comparison)) return 'a report';
  return null;
}

function dropComparisonRows(db: Database, id: string): void {
  db.run('DELETE FROM comparison WHERE id = ?', id);
  // A runner that still measures it finds that the job is no longer its own, and keeps nothing.
  db.run('DELETE FROM job WHERE id = ?', id);
}

/** Whether another case, a series, or a comparison of the bench, measured or under way, still needs the photograph. */
function isHeld(db: Database, sha256: string): boolean {
  return (
    db.get(
      `SELECT 1 FROM visit_photo WHERE sha256 = ?1 UNION ALL
       SELECT 1 FROM series_photo WHERE sha256 = ?1 UNION ALL
       SELECT 1 FROM job_photo JOIN job ON job.id = job_photo.job
       WHERE sha256 = ?1 AND kind = 'compare' AND (state IN ('waiting', 'running') OR job.id IN (SELECT id FROM comparison)) LIMIT 1`,
      sha256,
    ) !== undefined
  );
}

/** Takes a photograph off the shelf that no case holds any more, unless something else needs it. True when it went. */
export function erasePhoto(db: Database, dataDir: string, sha256: string): boolean {
  if (isHeld(db, sha256)) return false;
  // A check that is still under way is of no use to anybody now, and would hold the photograph.
  db.run(`DELETE FROM job WHERE kind = 'check' AND id IN (SELECT job FROM job_photo WHERE sha256 = ?)`, sha256);
  return forgetPhoto(db, dataDir, sha256);
}

const texts = (db: Database, sql: string, value: string): string[] => db.all(sql, value).map((row) => String(row.text));
