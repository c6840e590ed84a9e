/**
 * Which pairs a study counts, and the one value a subject brings: several follow-ups of one face are not several faces.
 */
import { mean } from '#lib/stats/sum.ts';
import type { PairKind, PairRow } from '#shared/series.ts';
import type { StudyReport } from '#shared/study.ts';
import type { StudyColumn, StudyData, StudyValue } from './study-data.ts';

export type StudyOptions = StudyReport['options'];
export type SubjectValue = Readonly<{
  subject: string;
  group: string | null;
  value: number;
  pair: PairRow;
  finding: StudyValue['finding'];
}>;

/** Measured, and trusted by its own reference zones unless the study keeps those too. */
export const isUsed = (pair: PairRow, { untrusted }: Pick<StudyOptions, 'untrusted'>): boolean =>
  pair.state === 'measured' && (untrusted === 'kept' || pair.controlTrusted !== false);

/** Values of used pairs of one kind, by subject; subjects in the order of their names, pairs in the order of time. */
export function bySubject(
  data: StudyData,
  column: StudyColumn,
  kind: PairKind,
  options: Pick<StudyOptions, 'untrusted'>,
): Map<string, SubjectValue[]> {
  const subjects = new Map<string, SubjectValue[]>();
  for (const { pair: place, value, finding } of column.values) {
    const pair = data.pairs[place];
    if (pair.kind !== kind || !isUsed(pair, options)) continue;
    const own = subjects.get(pair.subject) ?? [];
    own.push({ subject: pair.subject, group: pair.group, value, pair, finding });
    subjects.set(pair.subject, own);
  }
  for (const own of subjects.values()) own.sort((a, b) => inTime(a.pair, b.pair));
  return new Map([...subjects].sort(([a], [b]) => compareText(a, b)));
}

/** One value a subject: of the last follow-up, the first, or the mean of all; a mean is beyond error when the last is. */
export function onePerSubject(subjects: ReadonlyMap<string, readonly SubjectValue[]>, rule: StudyOptions['perSubject']): SubjectValue[] {
  return [...subjects.values()].map((own) => {
    const last = own[own.length - 1];
    return rule === 'first' ? own[0] : rule === 'last' ? last : { ...last, value: mean(own.map(({ value }) => value)) };
  });
}

/** By days since the before photographs; where no day is known, by the visit's label. */
function inTime(a: PairRow, b: PairRow): number {
  return (a.daysApart ?? 0) - (b.daysApart ?? 0) || compareText(a.afterVisit, b.afterVisit) || compareText(a.pair, b.pair);
}

/** By code units, so that the order is the same under every locale; numbers within labels by their size. */
export function compareText(a: string, b: string): number {
  const parts = (text: string): string[] => text.match(/\d+|\D+/g) ?? [];
  const [x, y] = [parts(a), parts(b)];
  for (let i = 0; i < Math.min(x.length, y.length); i++) {
    if (x[i] === y[i]) continue;
    const numbers = [Number(x[i]), Number(y[i])];
    if (numbers.every(Number.isFinite) && numbers[0] !== numbers[1]) return numbers[0] - numbers[1];
    return x[i] < y[i] ? -1 : 1;
  }
  return x.length - y.length;
}
