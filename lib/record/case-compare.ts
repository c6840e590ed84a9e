/**
 * Comparing two visits of a case. The request holds no file names, since they may hold a person's: a photograph is called by the day of
 * its visit and its view.
 */
import type { Treatment } from '#shared/case.ts';
import { VIEWS } from '#shared/comparison.ts';
import type { CompareRequest, PhotoRef } from '#shared/job.ts';
import { found, refused } from '#shared/outcome.ts';
import { hasConsent } from './case-consent.ts';
import { gone, type Hands } from './case-hands.ts';
import { noConsent } from './case-photos.ts';
import { caseComparisonOf, treatmentOf } from './case-rows.ts';
import type { CaseBook } from './case-types.ts';
import { visitRow } from './case-visits.ts';
import type { Row } from './database.ts';
import { enqueueJob } from './job-queue.ts';
import { now } from './now.ts';

export function caseCompare(hands: Hands): Pick<CaseBook, 'compareVisits'> {
  const { db, vault, change } = hands;
  return {
    compareVisits: (caseId, beforeId, afterId, how = {}) =>
      change((log) => {
        const owner = db.get('SELECT code FROM patient_case WHERE id = ?', caseId);
        if (!owner) return gone('The case');
        const [before, after] = [visitRow(hands, beforeId), visitRow(hands, afterId)];
        if (!before || !after || before.case_id !== caseId || after.case_id !== caseId) return gone('One of the visits');
        if (beforeId === afterId) return refused('unfit', 'A visit cannot be compared with itself. Choose two different visits.');
        if (before.on_day! > after.on_day!)
          return refused(
            'unfit',
            `The visit of ${before.on_day} is later than that of ${after.on_day}. Choose the earlier one as the one before.`,
          );
        if (!hasConsent(db, caseId)) return noConsent();
        if (how.setUp !== undefined && !db.get('SELECT 1 FROM set_up WHERE sha256 = ?', how.setUp))
          return refused('unfit', 'The chosen set-up is no longer kept. Choose another one, or none.');
        const pairs = sharedViews(hands, before, after);
        if (pairs.length === 0)
          return refused(
            'unfit',
            `The visits of ${before.on_day} and ${after.on_day} have no view in common. Add a photograph of the same view to both, or correct a view.`,
          );

        const { treatedZones, treatedOn } = treatedBefore(
          db
            .all('SELECT * FROM treatment WHERE case_id = ? AND on_day <= ? ORDER BY on_day, rowid', caseId, after.on_day!)
            .map((row) => treatmentOf(vault, row)),
        );
        const request: CompareRequest = {
          kind: 'compare',
          title: `${owner.code}: ${before.on_day} to ${after.on_day}`,
          before: pairs.map((pair) => pair.before),
          after: pairs.map((pair) => pair.after),
          options: {
            afterOn: String(after.on_day),
            ...(treatedOn === undefined ? {} : { treatedOn }),
            ...(treatedZones.length === 0 ? {} : { treatedZones }),
            ...(how.setUp === undefined ? {} : { setUp: how.setUp }),
            ...(how.scale === undefined ? {} : { scale: how.scale }),
          },
        };
        const id = enqueueJob(db, vault, request, how.again === undefined ? {} : { again: how.again });
        const known = db.get('SELECT * FROM case_comparison WHERE id = ?', id);
        if (known) return found(caseComparisonOf(known));
        // Earlier tries of the same two visits that came to nothing give way.
        db.run(
          `DELETE FROM job WHERE state IN ('failed', 'stopped') AND id IN (SELECT id FROM case_comparison WHERE before_visit = ? AND after_visit = ?)`,
          beforeId,
          afterId,
        );
        db.run(
          'INSERT INTO case_comparison (id, case_id, before_visit, after_visit, created_at) VALUES (?, ?, ?, ?, ?)',
          id,
          caseId,
          beforeId,
          afterId,
          now(),
        );
        log({
          action: 'add',
          what: 'comparison',
          id,
          case: caseId,
          facts: { beforeVisit: beforeId, afterVisit: afterId, views: pairs.length },
        });
        return found(caseComparisonOf(db.get('SELECT * FROM case_comparison WHERE id = ?', id)!));
      }),
  };
}

/** The chosen photographs of the views that both visits have, in the fixed order of views. */
function sharedViews({ db }: Hands, before: Row, after: Row): { before: PhotoRef; after: PhotoRef }[] {
  const chosen = (visit: Row) =>
    new Map(
      db
        .all('SELECT view, sha256 FROM visit_photo WHERE visit = ? AND chosen = 1', visit.id!)
        .map(({ view, sha256 }) => [String(view), { sha256: String(sha256), name: `${visit.on_day} ${view}` }]),
    );
  const [had, has] = [chosen(before), chosen(after)];
  return VIEWS.flatMap((view) => {
    const [one, other] = [had.get(view), has.get(view)];
    return one && other ? [{ before: one, after: other }] : [];
  });
}

/** Zones and day of the last treatment; several on that day count together. `treatments` are oldest first. */
function treatedBefore(treatments: readonly Treatment[]): { treatedZones: Treatment['zones']; treatedOn: string | undefined } {
  const treatedOn = treatments.at(-1)?.on;
  return { treatedZones: [...new Set(treatments.filter(({ on }) => on === treatedOn).flatMap(({ zones }) => zones))], treatedOn };
}
