/**
 * How well the measurement repeats: from pairs of one visit, where nothing changed, and from changes that were read more than once.
 *
 * Model   SEM and smallest detectable change from differences about no difference (repeat-error.ts); limits of agreement with one difference a
 *         subject, or with many subjects' several by Zou's model; ICC(1,1) and ICC(1,k) where a subject's change was read by several pairs of one day, since
 *         such readings have no order.
 */
import { iccForms, reliabilityBand } from '#lib/stats/icc-forms.ts';
import { intraclass } from '#lib/stats/intraclass.ts';
import { exactLimitIntervals, limitsOfAgreement } from '#lib/stats/limits-of-agreement.ts';
import { repeatabilityFrom } from '#lib/stats/repeatability.ts';
import { repeatedLimits } from '#lib/stats/repeated-limits.ts';
import { DECIDING_METRICS, type MetricId } from '#shared/comparison.ts';
import { refused } from '#shared/outcome.ts';
import type { StudyReport } from '#shared/study.ts';
import { type RepeatDifference, repeatError } from './repeat-error.ts';
import { independence, normality } from './study-assumptions.ts';
import { isMagnitude, type StudyColumn, type StudyData } from './study-data.ts';
import { bySubject, type StudyOptions, type SubjectValue } from './study-selection.ts';
import { thinned } from './study-thin.ts';

const MOST_SHOWN = 200;
const isDeciding = (metric: MetricId): boolean => (DECIDING_METRICS as readonly MetricId[]).includes(metric);

type Repeatability = StudyReport['repeatability'][number]['answer'];
type Reliability = StudyReport['reliability'][number]['answer'];

export function studyRepeatability(data: StudyData, column: StudyColumn, options: StudyOptions): Repeatability {
  const subjects = [...bySubject(data, column, 'repeat', options).values()];
  const differences = subjects.flatMap(differencesOf);
  const error = repeatError(differences);
  if (!error)
    return refused(
      'no-repeats',
      'No pair of repeats was measured here. Photograph subjects twice with nothing changed, and mark the second as repeat.',
    );
  const { sdcCi95 } = repeatabilityFrom(error.sem ** 2, error.freedom);
  const values = differences.map(({ difference }) => difference);
  return {
    ok: true,
    method:
      'within-subject standard deviation of differences between repeats about no difference; interval by chi-square (Bland & Altman 1996); smallest detectable change 1.96 \u221a2 SEM',
    assumptions: [
      normality(values, 'differences between repeats'),
      independence('Each subject\u2019s repeats are pooled within the subject; different subjects were photographed apart.'),
    ],
    subjects: error.people,
    pairs: error.pairs,
    freedom: error.freedom,
    sem: error.sem,
    semCi95: error.semCi95,
    sdc: error.sdc,
    sdcCi95: [...sdcCi95],
    agreement: isMagnitude(column.metric) ? null : agreementOf(subjects.map((own) => own.map(({ value }) => value))),
    differences: isDeciding(column.metric) ? thinned(values.toSorted((a, b) => a - b), MOST_SHOWN) : [], // biome-ignore format: a line
  };
}

function differencesOf(own: readonly SubjectValue[], person: number): RepeatDifference[] {
  const visits = [...new Set(own.flatMap(({ pair }) => [pair.beforeVisit, pair.afterVisit]))];
  return own.flatMap(({ pair, value }) => {
    const [first, second] = [visits.indexOf(pair.beforeVisit), visits.indexOf(pair.afterVisit)];
    return first === second ? [] : [{ person, first, second, difference: value, own: 0 }];
  });
}

/**
 * So many second and further differences it takes before they are used for the limits: the scatter within subjects would otherwise have an
 * interval so wide (from 1 degree of freedom a thousandfold) that that of the limits says nothing.
 */
const FEWEST_SEVERAL = 10;

function agreementOf(subjects: readonly (readonly number[])[]): Extract<Repeatability, { ok: true }>['agreement'] {
  const several = subjects.reduce((total, own) => total + own.length - 1, 0);
  if (several < FEWEST_SEVERAL) {
    const differences = subjects.map(([one]) => one);
    const agreed = limitsOfAgreement(new Float64Array(differences.length), differences);
    if (!agreed.ok || !(agreed.value.deviation > 0)) return null;
    const { n, bias, biasCi95, limits } = agreed.value;
    const { lowerCi95, upperCi95 } = exactLimitIntervals(agreed.value);
    return {
      method: 'Bland & Altman 1986, the first difference of each subject; exact intervals of the limits by the noncentral t (Carkeet 2015)',
      subjects: n,
      differences: n,
      bias,
      biasCi95: [...biasCi95],
      limits: [...limits],
      lowerCi95: [...lowerCi95],
      upperCi95: [...upperCi95],
    };
  }
  const agreed = repeatedLimits(subjects);
  if (!agreed.ok || !(agreed.value.deviation > 0)) return null;
  const { subjects: n, differences, bias, biasCi95, limits, lowerCi95, upperCi95 } = agreed.value;
  return {
    method: 'limits with several differences a subject (Bland & Altman 2007); intervals by recovered variances (Zou 2013)',
    subjects: n,
    differences,
    bias,
    biasCi95: [...biasCi95],
    limits: [...limits],
    lowerCi95: [...lowerCi95],
    upperCi95: [...upperCi95],
  };
}

/** Change pairs of one subject whose after photographs are of one and the same day are readings of one change. */
export function studyReliability(data: StudyData, column: StudyColumn, options: StudyOptions): Reliability {
  const rows: number[][] = [];
  for (const own of bySubject(data, column, 'change', options).values()) {
    const days = new Map<number, number[]>();
    for (const { pair, value } of own) if (pair.daysApart !== null) days.set(pair.daysApart, [...(days.get(pair.daysApart) ?? []), value]);
    // One change a subject, that with the most readings, the latest of equals.
    const most = [...days].sort(([a, x], [b, y]) => y.length - x.length || b - a)[0];
    if (most && most[1].length >= 2) rows.push(most[1]);
  }
  const readings = rows.length > 0 ? Math.min(...rows.map((row) => row.length)) : 0;
  if (rows.length < 3)
    return refused(
      'not-read-twice',
      `An intraclass correlation needs at least 3 subjects whose change was read by two or more pairs of one day, got ${rows.length}.`,
    );
  const agreed = intraclass(rows.map((row) => row.slice(0, readings)));
  if (!agreed.ok) return agreed;
  const forms = iccForms(agreed.value)
    .filter(({ form, value, ci95 }) => form.startsWith('ICC(1') && [value, ...ci95].every(Number.isFinite))
    .map(({ ci95, ...form }) => ({ ...form, ci95: [...ci95] as [number, number], band: reliabilityBand(ci95) }));
  return {
    ok: true,
    method: 'one-way random effects (McGraw & Wong 1996), since readings of one day have no order; bands by Koo & Li 2016 on the interval',
    assumptions: [
      normality(
        rows.flatMap((row) => row.slice(1).map((value) => value - row[0])),
        'differences between readings',
      ),
    ],
    subjects: rows.length,
    readings,
    forms,
  };
}
