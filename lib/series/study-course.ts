/**
 * The course over time: the mean at each follow-up, and the subjects' own slopes.
 *
 * Model   summary measures: each subject's line over its days is one number, and the numbers are tested; so visits of one subject need not be
 *         independent, nor equally many.
 * Source  Matthews, Altman, Campbell & Royston, BMJ 300:230-235, 1990, doi:10.1136/bmj.300.6719.230.
 */
import { oneSampleT } from '#lib/stats/one-sample.ts';
import { median } from '#lib/stats/quantile.ts';
import { mean, sum, sumOfSquaredDeviations } from '#lib/stats/sum.ts';
import { refused } from '#shared/outcome.ts';
import type { StudyReport } from '#shared/study.ts';
import { independence, normality } from './study-assumptions.ts';
import { isMagnitude, type StudyColumn, type StudyData } from './study-data.ts';
import { bySubject, compareText, type StudyOptions, type SubjectValue } from './study-selection.ts';

type Course = StudyReport['course'][number]['answer'];
type Point = Extract<Course, { ok: true }>['points'][number];

export function studyCourse(data: StudyData, column: StudyColumn, options: StudyOptions): Course {
  if (isMagnitude(column.metric))
    return refused('no-sign', 'A colour difference says how far, not which way, so its course is not averaged.');
  const subjects = inCommonVisits([...bySubject(data, column, 'change', options).values()]);
  const all = subjects.flat();
  const visits = [...new Set(all.map(({ pair }) => pair.afterVisit))];
  if (visits.length < 2) return refused('one-visit', `A course needs follow-ups at two visits or more, got ${visits.length}.`);
  const groups = [...new Set(all.map(({ group }) => group))].sort((a, b) => compareText(a ?? '', b ?? ''));
  const points = visits.flatMap((visit) => groups.flatMap((group) => pointOf(all, visit, group)));
  const slopes = subjects.flatMap(slopeOf);
  const trend = oneSampleT(slopes);
  return {
    ok: true,
    method:
      'mean and Student\u2019s interval at each follow-up; trend as the mean of the subjects\u2019 own slopes over days (Matthews et al. 1990)',
    assumptions: [
      normality(slopes, 'subjects\u2019 slopes'),
      independence(
        'Intervals at different visits share subjects and are not to be compared with each other; the trend counts each subject once.',
      ),
    ],
    points: points.sort(
      (a, b) => (a.days ?? 0) - (b.days ?? 0) || compareText(a.visit, b.visit) || compareText(a.group ?? '', b.group ?? ''),
    ),
    trend:
      trend.ok && trend.value.n >= 3
        ? { subjects: trend.value.n, perDay: trend.value.mean, ci95: [...trend.value.ci95], p: trend.value.p }
        : null,
  };
}

/**
 * The subjects as they are, when they share the labels of their visits. Where most labels belong to one subject alone, as in tables that were
 * made anonymous, visits go by their order: follow-up 1, follow-up 2; readings of one day are one.
 */
function inCommonVisits(subjects: readonly (readonly SubjectValue[])[]): readonly (readonly SubjectValue[])[] {
  const owners = new Map<string, Set<string>>();
  for (const { pair, subject } of subjects.flat()) owners.set(pair.afterVisit, (owners.get(pair.afterVisit) ?? new Set()).add(subject));
  const shared = [...owners.values()].filter((own) => own.size > 1).length;
  if (2 * shared >= owners.size) return subjects;
  return subjects.map((own) => {
    const order = [...new Set(own.map(placeInTime))];
    return own.map((one) => ({ ...one, pair: { ...one.pair, afterVisit: `follow-up ${order.indexOf(placeInTime(one)) + 1}` } }));
  });
}

const placeInTime = ({ pair }: SubjectValue): string => (pair.daysApart === null ? pair.afterVisit : String(pair.daysApart));

/** Within a visit each subject counts once. */
function pointOf(all: readonly SubjectValue[], visit: string, group: string | null): Point[] {
  const own = new Map<string, SubjectValue[]>();
  for (const one of all)
    if (one.pair.afterVisit === visit && one.group === group) own.set(one.subject, [...(own.get(one.subject) ?? []), one]);
  const values = [...own.values()].map((each) => mean(each.map(({ value }) => value)));
  if (values.length === 0) return [];
  const days = [...own.values()].flatMap(([one]) => (one.pair.daysApart === null ? [] : [one.pair.daysApart]));
  const one = oneSampleT(values);
  return [
    {
      visit,
      group,
      days: days.length > 0 ? median(days) : null,
      subjects: values.length,
      mean: mean(values),
      ci95: one.ok ? [...one.value.ci95] : null,
    },
  ];
}

/** Least squares over the subject's days; nothing when they are all one. */
function slopeOf(own: readonly SubjectValue[]): number[] {
  const dated = own.filter(({ pair }) => pair.daysApart !== null);
  if (dated.length < 2) return [];
  const x = dated.map(({ pair }) => pair.daysApart!);
  const y = dated.map(({ value }) => value);
  const spread = sumOfSquaredDeviations(x);
  if (!(spread > 0)) return [];
  const [mx, my] = [mean(x), mean(y)];
  return [sum(x.map((value, i) => (value - mx) * (y[i] - my))) / spread];
}
