/** Photographs in visits: put in by day, their views, which one of a view counts, and taken out again. */
import { type Visit, visitPhotoSchema } from '#shared/case.ts';
import { type View, viewSchema } from '#shared/comparison.ts';
import { daySchema } from '#shared/job.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { hasConsent } from './case-consent.ts';
import { erasePhoto } from './case-erase.ts';
import { gone, type Hands, type Log } from './case-hands.ts';
import { PURPOSE, sealed, visitPhotoOf } from './case-rows.ts';
import type { CaseBook, CaseFault, VisitPhotoDraft } from './case-types.ts';
import { insertVisit, readVisit, visitRow } from './case-visits.ts';
import type { Row } from './database.ts';

/** Photographs taken at once; a practice's whole day of one patient is far below it. */
export const MOST_PHOTOS_AT_ONCE = 500;

type Part = Pick<CaseBook, 'addPhotos' | 'setPhotoView' | 'choosePhoto' | 'removePhotoFromVisit' | 'whereIsPhoto'>;

export function casePhotos(hands: Hands): Part {
  const { db, dataDir, vault, change } = hands;

  /** Changes one photograph of a visit, and counts the visit's revision up when `work` says that it did. */
  const changePhoto = (visitId: string, sha256: string, work: (photo: Row, visit: Row, log: Log) => Outcome<boolean, CaseFault>) =>
    change<Visit>((log) => {
      const visit = visitRow(hands, visitId);
      const photo = db.get('SELECT * FROM visit_photo WHERE visit = ? AND sha256 = ?', visitId, sha256);
      if (!visit || !photo) return gone('The photograph of this visit');
      const done = work(photo, visit, log);
      if (!done.ok) return done;
      if (done.value) db.run('UPDATE visit SET revision = revision + 1 WHERE id = ?', visitId);
      return found(readVisit(hands, visitId));
    });

  return {
    addPhotos: (caseId, days) => {
      for (const day of days) daySchema.parse(day.on);
      const asked = days.flatMap(({ on, photos }) =>
        photos.map((photo) => ({ on, photo: visitPhotoSchema.omit({ chosen: true }).parse(photo) })),
      );
      if (asked.length > MOST_PHOTOS_AT_ONCE)
        return Promise.resolve(
          refused('unfit', `At most ${MOST_PHOTOS_AT_ONCE} photographs are taken at once, not ${asked.length}. Add them in parts.`),
        );
      asked.sort((a, b) => (a.on < b.on ? -1 : a.on > b.on ? 1 : 0));
      return change((log) => {
        if (!db.get('SELECT 1 FROM patient_case WHERE id = ?', caseId)) return gone('The case');
        if (!hasConsent(db, caseId)) return noConsent();
        const changed = new Set<string>();
        let already = 0;
        for (const { on, photo } of asked) {
          if (!db.get('SELECT 1 FROM photo WHERE sha256 = ?', photo.sha256))
            return refused(
              'gone',
              `${photo.name} is no longer on the shelf. Add the file again; none of the others was put into the case.`,
            );
          if (db.get('SELECT 1 FROM visit_photo WHERE case_id = ? AND sha256 = ?', caseId, photo.sha256)) {
            already++;
            continue;
          }
          changed.add(insertPhoto(hands, caseId, on, photo, log));
        }
        for (const visit of changed) db.run('UPDATE visit SET revision = revision + 1 WHERE id = ?', visit);
        return found({ added: asked.length - already, already, visits: [...changed].map((visit) => readVisit(hands, visit)) });
      });
    },
    setPhotoView: (visitId, sha256, given) => {
      const view = viewSchema.parse(given);
      return changePhoto(visitId, sha256, (photo, visit, log) => {
        if (photo.view === view) return found(false);
        db.run('UPDATE visit_photo SET view = ?, chosen = 0 WHERE seq = ?', view, photo.seq!);
        chooseFirst(hands, visitId, photo.view as View);
        chooseFirst(hands, visitId, view, Number(photo.seq));
        log({
          action: 'change',
          what: 'photo',
          id: sha256,
          case: String(visit.case_id),
          facts: { visit: visitId, view, formerView: String(photo.view) },
        });
        return found(true);
      });
    },
    choosePhoto: (visitId, sha256) =>
      changePhoto(visitId, sha256, (photo, visit, log) => {
        if (photo.chosen === 1) return found(false);
        db.run('UPDATE visit_photo SET chosen = 0 WHERE visit = ? AND view = ?', visitId, photo.view!);
        db.run('UPDATE visit_photo SET chosen = 1 WHERE seq = ?', photo.seq!);
        log({ action: 'change', what: 'photo', id: sha256, case: String(visit.case_id), facts: { visit: visitId, chosen: true } });
        return found(true);
      }),
    removePhotoFromVisit: async (visitId, sha256) => {
      const answer = await changePhoto(visitId, sha256, (photo, visit, log) => {
        const why = whatRestsOnPhoto(hands, String(visit.case_id), sha256);
        if (why) return refused('in-use', `This photograph is kept, because ${why} rests on it. Delete that first.`);
        db.run('DELETE FROM visit_photo WHERE seq = ?', photo.seq!);
        if (photo.chosen === 1) chooseFirst(hands, visitId, photo.view as View);
        log({ action: 'delete', what: 'photo', id: sha256, case: String(visit.case_id), facts: { visit: visitId } });
        erasePhoto(db, dataDir, sha256);
        return found(true);
      });
      db.settle();
      return answer;
    },
    whereIsPhoto: async (sha256) =>
      db
        .all('SELECT * FROM visit_photo WHERE sha256 = ? ORDER BY seq', sha256)
        .map((row) => ({ case: String(row.case_id), visit: String(row.visit), photo: visitPhotoOf(vault, row) })),
  };
}

export const noConsent = () =>
  refused('no-consent', 'There is no consent to photographs in this case, or it was withdrawn. Record the consent first.');

/** Puts a photograph into the visit of its day, which is made when there is none. Returns the visit's id. */
function insertPhoto(hands: Hands, caseId: string, on: string, { sha256, name, view, takenAt }: VisitPhotoDraft, log: Log): string {
  const { db, vault } = hands;
  const known = db.get('SELECT id FROM visit WHERE case_id = ? AND on_day = ? ORDER BY rowid LIMIT 1', caseId, on);
  const visit = known ? String(known.id) : insertVisit(hands, caseId, { on, label: '', note: '' });
  if (!known) log({ action: 'add', what: 'visit', id: visit, case: caseId, facts: { on } });
  db.run(
    'INSERT INTO visit_photo (visit, case_id, sha256, view, taken_at, chosen, sealed) VALUES (?, ?, ?, ?, ?, 0, ?)',
    visit,
    caseId,
    sha256,
    view,
    takenAt,
    sealed(vault, PURPOSE.visitPhoto(visit, sha256), { name }),
  );
  chooseFirst(hands, visit, view);
  log({ action: 'add', what: 'photo', id: sha256, case: caseId, facts: { visit, view } });
  return visit;
}

/** Where no photograph of a view is chosen, the first of it is, or the one named. */
function chooseFirst({ db }: Hands, visit: string, view: View, preferred: number | null = null): void {
  if (db.get('SELECT 1 FROM visit_photo WHERE visit = ? AND view = ? AND chosen = 1', visit, view)) return;
  const first = db.get(
    'SELECT seq FROM visit_photo WHERE visit = ? AND view = ? ORDER BY seq IS NOT ?, seq LIMIT 1',
    visit,
    view,
    preferred,
  );
  if (first) db.run('UPDATE visit_photo SET chosen = 1 WHERE seq = ?', first.seq!);
}

function whatRestsOnPhoto({ db }: Hands, caseId: string, sha256: string): string | null {
  if (db.get('SELECT 1 FROM complaint WHERE case_id = ? AND calls_me = ?', caseId, sha256))
    return 'a complaint, in which the patient named it,';
  const compared = db.get(
    `SELECT 1 FROM case_comparison c JOIN job ON job.id = c.id JOIN job_photo ON job_photo.job = c.id
     WHERE c.case_id = ? AND job_photo.sha256 = ? AND state NOT IN ('failed', 'stopped')`,
    caseId,
    sha256,
  );
  return compared ? 'a comparison' : null;
}
