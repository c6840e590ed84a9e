/**
 * Where the data went: subjects to visits to pairs to what could be measured and judged, with the reasons of what fell out.
 * Source  the flow that CONSORT (BMJ 340:c332, 2010, doi:10.1136/bmj.c332) and STARD (BMJ 351:h5527, 2015, doi:10.1136/bmj.h5527) ask for.
 */
import { PAIR_STATES, type PairKind, type PairRow } from '#shared/series.ts';
import type { StudyFlow } from '#shared/study.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import type { StudyData } from './study-data.ts';
import { compareText, isUsed, type StudyOptions } from './study-selection.ts';

export function studyFlow(data: StudyData, options: Pick<StudyOptions, 'untrusted'>): StudyFlow {
  const { pairs } = data;
  const used = new Set(pairs.flatMap((pair, place) => (pair.kind === 'change' && isUsed(pair, options) ? [place] : [])));
  const change = pairs.filter(({ kind }) => kind === 'change');
  const groups = new Map<string | null, Set<string>>();
  for (const { group, subject } of pairs) groups.set(group, (groups.get(group) ?? new Set()).add(subject));
  return {
    subjects: countOf(pairs, ({ subject }) => subject),
    groups: [...groups]
      .map(([group, subjects]) => ({ group, subjects: subjects.size }))
      .sort((a, b) => compareText(a.group ?? '\uffff', b.group ?? '\uffff')),
    visits: new Set(change.flatMap(({ subject, beforeVisit, afterVisit }) => [`${subject}/${beforeVisit}`, `${subject}/${afterVisit}`]))
      .size,
    change: stages(pairs, 'change', options),
    repeat: stages(pairs, 'repeat', options),
    reasons: reasonsOf(pairs),
    zones: used.size === 0 ? [] : ZONE_IDS.map((zone) => ofZone(data, zone, used)),
  };
}

function ofZone(data: StudyData, zone: ZoneId, used: ReadonlySet<number>): StudyFlow['zones'][number] {
  const assessed = [...used].filter((place) => data.wasAssessed(zone, place)).map((place) => data.pairs[place]);
  return {
    zone,
    reference: data.isReference(zone),
    pairs: used.size,
    assessable: assessed.length,
    subjects: countOf(assessed, ({ subject }) => subject),
  };
}

function stages(all: readonly PairRow[], kind: PairKind, options: Pick<StudyOptions, 'untrusted'>): StudyFlow['change'] {
  const pairs = all.filter((pair) => pair.kind === kind);
  const inState = (state: PairRow['state']): number => pairs.filter((pair) => pair.state === state).length;
  const used = pairs.filter((pair) => isUsed(pair, options));
  return {
    pairs: pairs.length,
    measured: inState('measured'),
    notComparable: inState('not-comparable'),
    failed: inState('failed'),
    untrusted: pairs.filter(({ state, controlTrusted }) => state === 'measured' && controlTrusted === false).length,
    used: used.length,
    subjects: countOf(used, ({ subject }) => subject),
  };
}

/** A pair with several reasons counts under each; most frequent first. */
function reasonsOf(pairs: readonly PairRow[]): StudyFlow['reasons'] {
  return PAIR_STATES.flatMap((state) => {
    const counts = new Map<string, number>();
    for (const pair of pairs)
      if (pair.state === state && state !== 'measured')
        for (const reason of pair.reasons.length > 0 ? new Set(pair.reasons) : ['no reason given'])
          counts.set(reason, (counts.get(reason) ?? 0) + 1);
    return [...counts]
      .map(([reason, count]) => ({ state, reason, pairs: count }))
      .sort((a, b) => b.pairs - a.pairs || compareText(a.reason, b.reason));
  });
}

const countOf = (pairs: readonly PairRow[], by: (pair: PairRow) => string): number => new Set(pairs.map(by)).size;
