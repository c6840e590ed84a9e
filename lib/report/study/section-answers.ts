/**
 * Methods and their assumptions, put together: which were used, in how many answers each assumption held, where it did not, and what was refused and why.
 */
import type { Block } from '#lib/report/pdf/blocks.ts';
import { METRICS, type MetricId } from '#shared/comparison.ts';
import type { Assumption, StudyReport } from '#shared/study.ts';
import { type ZoneId, zoneLabel } from '#shared/zones.ts';
import { counted } from './study-words.ts';

type Asked = Readonly<{
  zone: ZoneId | null;
  metric?: MetricId;
  answer: Readonly<{ ok: true; method: string; assumptions: readonly Assumption[] }> | Readonly<{ ok: false; detail: string }>;
}>;

/** As many places are named; the JSON has all. */
const MOST_NAMED = 6;

export function answersSection(study: StudyReport): Block[] {
  const { raters } = study;
  const asked: readonly (readonly [string, readonly Asked[]])[] = [
    ['Repeatability', study.repeatability],
    ['Reliability of a change read more than once', study.reliability],
    ['Change', study.change],
    ['Groups', study.groups],
    ['Course', study.course],
    ['Agreement of raters', [...raters.kappa, ...raters.reliability]],
    ['ROC', raters.roc],
    ['Sample size', study.sampleSize],
  ];
  return [
    { kind: 'heading', level: 2, text: 'Methods, assumptions, and what was refused' },
    {
      kind: 'paragraph',
      words:
        'An assumption that could not be refuted in few subjects is not thereby true. Each answer with its own figures stands in study.json.',
    },
    ...asked
      .filter(([, rows]) => rows.length > 0)
      .flatMap(([name, rows]): Block[] => [
        { kind: 'heading', level: 3, text: name },
        { kind: 'list', look: 'small', items: linesOf(rows) },
      ]),
  ];
}

function linesOf(rows: readonly Asked[]): string[] {
  const answered = rows.flatMap(({ zone, metric, answer }) => (answer.ok ? [{ place: placeOf(zone, metric), answer }] : []));
  const methods = tally(answered.map(({ answer }) => answer.method));
  const assumptions = new Map<string, { held: string[]; not: string[]; open: string[]; detail: string }>();
  for (const { place, answer } of answered)
    for (const { name, held, detail } of answer.assumptions) {
      const one = assumptions.get(name) ?? { held: [], not: [], open: [], detail };
      (held === null ? one.open : held ? one.held : one.not).push(place);
      assumptions.set(name, one);
    }
  const refusals = new Map<string, string[]>();
  for (const { zone, metric, answer } of rows)
    if (!answer.ok) refusals.set(answer.detail, [...(refusals.get(answer.detail) ?? []), placeOf(zone, metric)]);
  return [
    ...methods.map(([method, count]) => `Method (${counted(count, 'answer')}): ${method}.`),
    ...[...assumptions].map(([name, one]) => assumed(name, one)),
    ...[...refusals].map(([detail, places]) => `Refused (${named(places)}): ${detail}`),
  ];
}

function assumed(
  name: string,
  { held, not, open, detail }: Readonly<{ held: string[]; not: string[]; open: string[]; detail: string }>,
): string {
  if (held.length + not.length === 0) return `Assumed: ${name}. ${detail}`;
  const tested = held.length + not.length;
  const against = not.length > 0 ? `; not in ${named(not)}` : '';
  const untested = open.length > 0 ? `; not tested in ${open.length}` : '';
  return `Assumed: ${name}. Held in ${held.length} of ${tested} tested${against}${untested}.`;
}

function placeOf(zone: ZoneId | null, metric?: MetricId): string {
  const where = zone === null ? 'whole face or all zones' : zoneLabel(zone);
  return metric ? `${where}: ${METRICS[metric].label.toLowerCase()}` : where;
}

const named = (places: readonly string[]): string => {
  const each = [...new Set(places)];
  return each.length > MOST_NAMED ? `${each.slice(0, MOST_NAMED).join('; ')}; and ${each.length - MOST_NAMED} more` : each.join('; ');
};

function tally(words: readonly string[]): [string, number][] {
  const counts = new Map<string, number>();
  for (const word of words) counts.set(word, (counts.get(word) ?? 0) + 1);
  return [...counts];
}
