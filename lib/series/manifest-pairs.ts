/** Visits become the pairs to be measured: each follow-up with its subject's baseline, each repeat with the visit that it repeats. */
import type { PairKind, SeriesPair } from '#shared/series.ts';
import { daysBetween } from './days-between.ts';
import type { ManifestFault, Subject, Visit } from './manifest-visits.ts';

/** Repeats are taken within a day: by then a face may have changed. */
const MOST_DAYS_BETWEEN_REPEATS = 1;

export const pairId = (subject: string, before: string, after: string): string => `${subject}/${before}/${after}`;

/** The same where either day may be unknown. */
export const daysApart = (from: string | null, to: string | null): number | null =>
  from === null || to === null ? null : daysBetween(from, to);

/** In the order of the manifest. */
export function pairsOf(
  subjects: readonly Subject[],
): Readonly<{ pairs: readonly SeriesPair[]; faults: readonly ManifestFault[]; unused: readonly Visit[] }> {
  const pairs: SeriesPair[] = [];
  const faults: ManifestFault[] = [];
  const unused: Visit[] = [];
  for (const subject of subjects)
    for (const after of subject.visits.values()) {
      if (after.role === 'baseline') continue;
      const before = partner(subject, after);
      const wrong = 'code' in before ? before : order(before, after);
      if (!wrong) pairs.push(pairOf(subject, before as Visit, after));
      else {
        faults.push(...after.lines.map((line) => ({ line, ...wrong })));
        unused.push(after);
      }
    }
  return { pairs, faults, unused };
}

type Wrong = Omit<ManifestFault, 'line'>;

function partner({ subject, visits }: Subject, after: Visit): Visit | Wrong {
  const named = after.role === 'repeat' ? after.repeatOf : null;
  if (named !== null) {
    const visit = visits.get(named);
    if (!visit || visit === after)
      return {
        code: 'no-such-visit',
        message: `"${after.visit}" of ${subject} repeats a visit "${named}" that has no usable photograph here. Name one of its visits.`,
      };
    if (visit.role === 'repeat')
      return {
        code: 'repeat-of-repeat',
        message: `"${after.visit}" of ${subject} repeats "${named}", which is a repeat itself. Name the visit that both repeat.`,
      };
    return visit;
  }
  const baseline = [...visits.values()].find(({ role }) => role === 'baseline');
  return (
    baseline ?? {
      code: 'no-baseline',
      message: `${subject} has no baseline with a usable photograph, so there is nothing to compare "${after.visit}" with. Add one, or put its row right.`,
    }
  );
}

function order(before: Visit, after: Visit): Wrong | null {
  const days = daysApart(before.date, after.date);
  if (days === null) return null;
  if (after.role === 'follow-up' && days < 0)
    return {
      code: 'wrong-order',
      message: `The follow-up "${after.visit}" of ${after.subject} is dated before its baseline "${before.visit}". Check both dates.`,
    };
  if (after.role === 'repeat' && Math.abs(days) > MOST_DAYS_BETWEEN_REPEATS)
    return {
      code: 'repeat-too-late',
      message:
        `"${after.visit}" of ${after.subject} lies ${Math.abs(days)} days away from the visit "${before.visit}" that it is to repeat. By then a face may have ` +
        'changed; repeats are taken within a day.',
    };
  return null;
}

function pairOf({ subject, group }: Subject, before: Visit, after: Visit): SeriesPair {
  const kind: PairKind = after.role === 'repeat' ? 'repeat' : 'change';
  return {
    pair: pairId(subject, before.visit, after.visit),
    kind,
    subject,
    group,
    beforeVisit: before.visit,
    afterVisit: after.visit,
    beforeOn: before.date,
    afterOn: after.date,
    treatedOn: after.treatedOn ?? before.treatedOn,
    concernZones: [...(after.zones.length > 0 ? after.zones : before.zones)],
    before: before.photos,
    after: after.photos,
  };
}
