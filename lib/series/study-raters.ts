/**
 * People's eyes and the measurement: how far raters agree with each other, and whether the measured change tells what they call worse.
 *
 * Model   kappa with linear and quadratic weights for every two raters; ICC(2,1), ICC(3,1) and their means where three subjects or more were
 *         graded by every rater; ROC of the measured change, loss counting as worse, against a majority of raters that graded below 0. One pair
 *         a subject, except over all zones together, where the zones of one face are kept together (Obuchowski 1997).
 */
import { iccForms, reliabilityBand } from '#lib/stats/icc-forms.ts';
import { intraclass } from '#lib/stats/intraclass.ts';
import { proportion } from '#lib/stats/proportion.ts';
import { areaInterval, bestCut, rocArea, rocCurve } from '#lib/stats/roc.ts';
import { clusteredRocArea } from '#lib/stats/roc-clustered.ts';
import { gradeTable, weightedKappa } from '#lib/stats/weighted-kappa.ts';
import type { MetricId } from '#shared/comparison.ts';
import { refused } from '#shared/outcome.ts';
import type { RatingRow } from '#shared/series.ts';
import type { StudyReport } from '#shared/study.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import type { StudyData } from './study-data.ts';
import { bySubject, compareText, onePerSubject, type StudyOptions } from './study-selection.ts';
import { thinned } from './study-thin.ts';

type Raters = StudyReport['raters'];
const MOST_SHOWN = 201;
const GRADES = { low: -4, high: 4 } as const;
const DECIDING: readonly MetricId[] = ['volumeMl', 'lightnessDelta'];

export function studyRaters(data: StudyData, options: StudyOptions): Raters {
  const zones = [null, ...ZONE_IDS].filter((zone) => data.ratings.some((row) => row.zone === zone));
  return {
    reliability: zones.map((zone) => ({ zone, answer: reliabilityOf(data, zone) })),
    kappa: zones.flatMap((zone) => kappasOf(data, zone).map((answer) => ({ zone, answer }))),
    roc: data.ratings.length > 0 ? DECIDING.flatMap((metric) => rocsOf(data, metric, options)) : [],
  };
}

/** Grades of one target: by pair, then by rater. One pair a subject, its last rated, so that no face counts twice. */
function gradesOf(data: StudyData, zone: ZoneId | null): Map<string, Map<string, number>> {
  const pairs = new Map<string, Map<string, number>>();
  for (const { pair, rater, grade } of data.ratings.filter((row) => row.zone === zone)) {
    const own = pairs.get(pair) ?? new Map<string, number>();
    own.set(rater, grade);
    pairs.set(pair, own);
  }
  const last = new Map<string, string>();
  for (const row of data.pairs) {
    const former = last.get(row.subject);
    const days = (pair: string): number => data.pairs[data.placeOf.get(pair)!].daysApart ?? 0;
    if (row.kind === 'change' && pairs.has(row.pair) && (former === undefined || days(row.pair) >= days(former)))
      last.set(row.subject, row.pair);
  }
  return new Map([...last.values()].sort(compareText).map((pair) => [pair, pairs.get(pair)!]));
}

const ratersOf = (grades: ReadonlyMap<string, ReadonlyMap<string, number>>): string[] =>
  [...new Set([...grades.values()].flatMap((own) => [...own.keys()]))].sort(compareText);

function kappasOf(data: StudyData, zone: ZoneId | null): Raters['kappa'][number]['answer'][] {
  const grades = gradesOf(data, zone);
  const raters = ratersOf(grades);
  if (raters.length < 2) return [refused('one-rater', 'Agreement needs two raters or more of the same pairs.')];
  return raters.flatMap((one, i) =>
    raters.slice(i + 1).map((other) => {
      const both = [...grades.values()].filter((own) => own.has(one) && own.has(other));
      const table = gradeTable(both.map((own) => own.get(one)!), both.map((own) => own.get(other)!), GRADES.low, GRADES.high); // biome-ignore format: a line
      const [linear, quadratic] = (['linear', 'quadratic'] as const).map((weights) => weightedKappa(table, weights));
      if (!linear.ok) return refused(linear.why, `${one} and ${other}: ${linear.detail}`);
      if (!quadratic.ok) return refused(quadratic.why, `${one} and ${other}: ${quadratic.detail}`);
      const brief = ({ value, ci95, p }: typeof linear.value) => ({ value, ci95: [...ci95] as [number, number], p });
      return {
        ok: true as const,
        method:
          'weighted kappa on grades \u22124 to 4, linear and quadratic weights; large-sample intervals (Fleiss, Cohen & Everitt 1969)',
        assumptions: [
          {
            name: 'enough subjects for the large-sample interval',
            held: both.length >= 30,
            detail: `${both.length} subjects were graded by both; with fewer than 30 the interval is a rough one.`,
          },
          {
            name: 'raters graded without knowing of each other',
            held: null,
            detail: 'To be secured by the study, it does not show in the grades.',
          },
        ],
        raters: [one, other] as [string, string],
        rated: both.length,
        same: linear.value.same,
        linear: brief(linear.value),
        quadratic: brief(quadratic.value),
      };
    }),
  );
}

function reliabilityOf(data: StudyData, zone: ZoneId | null): Raters['reliability'][number]['answer'] {
  const grades = gradesOf(data, zone);
  const raters = ratersOf(grades);
  const complete = [...grades.values()].filter((own) => raters.every((rater) => own.has(rater)));
  if (raters.length < 2 || complete.length < 3)
    return refused(
      'too-few',
      `An intraclass correlation needs at least 3 subjects graded by every one of two raters or more, got ${complete.length} and ${raters.length}.`,
    );
  const agreed = intraclass(complete.map((own) => raters.map((rater) => own.get(rater)!)));
  if (!agreed.ok) return agreed;
  const forms = iccForms(agreed.value)
    .filter(({ form, value, ci95 }) => !form.startsWith('ICC(1') && [value, ...ci95].every(Number.isFinite))
    .map(({ ci95, ...form }) => ({ ...form, ci95: [...ci95] as [number, number], band: reliabilityBand(ci95) }));
  return {
    ok: true,
    method:
      'two-way models (McGraw & Wong 1996), raters as a sample for ICC(2), as the only ones for ICC(3); bands by Koo & Li 2016 on the interval',
    assumptions: [
      { name: 'steps between grades are equal', held: null, detail: 'Grades are ordered; kappa, which stands beside, asks for less.' },
      {
        name: 'every rater graded every subject',
        held: complete.length === grades.size,
        detail: `${complete.length} of ${grades.size} subjects; the others are left out here.`,
      },
    ],
    subjects: complete.length,
    readings: raters.length,
    forms,
  };
}

type Scored = Readonly<{ subject: string; score: number; positive: boolean }>;

function rocsOf(data: StudyData, metric: MetricId, options: StudyOptions): Raters['roc'] {
  const worse = majorityWorse(data.ratings);
  const zoned = ZONE_IDS.map((zone) => ({ zone, scores: scoresOf(data, zone, metric, options, worse) })).filter(
    ({ scores }) => scores.length > 0,
  );
  const each = zoned.map(({ zone, scores }) => ({ zone: zone as ZoneId | null, metric, answer: rocAnswer(scores, false) }));
  return [{ zone: null, metric, answer: rocAnswer(zoned.flatMap(({ scores }) => scores), true) }, ...each]; // biome-ignore format: a line
}

/** By pair and zone, whether more than half of the raters graded below 0. */
function majorityWorse(ratings: readonly RatingRow[]): Map<string, boolean> {
  const votes = new Map<string, { worse: number; all: number }>();
  for (const { pair, zone, grade } of ratings) {
    if (zone === null) continue;
    const own = votes.get(`${zone} ${pair}`) ?? { worse: 0, all: 0 };
    own.all++;
    if (grade < 0) own.worse++;
    votes.set(`${zone} ${pair}`, own);
  }
  return new Map([...votes].map(([key, { worse, all }]) => [key, worse > all / 2]));
}

function scoresOf(data: StudyData, zone: ZoneId, metric: MetricId, options: StudyOptions, worse: ReadonlyMap<string, boolean>): Scored[] {
  const rated = new Map([...bySubject(data, data.column(zone, metric), 'change', options)].flatMap(([subject, own]) => {
    const kept = own.filter(({ pair }) => worse.has(`${zone} ${pair.pair}`));
    return kept.length > 0 ? [[subject, kept] as const] : [];
  })); // biome-ignore format: a block
  // Loss is negative and darkening is negative, so the score of worse is the change with its sign turned.
  return onePerSubject(rated, options.perSubject === 'mean' ? 'last' : options.perSubject).map(({ subject, value, pair }) => ({
    subject,
    score: -value,
    positive: worse.get(`${zone} ${pair.pair}`)!,
  }));
}

function rocAnswer(scores: readonly Scored[], clustered: boolean): Raters['roc'][number]['answer'] {
  const [positive, negative] = [true, false].map((side) => scores.filter((one) => one.positive === side).map(({ score }) => score));
  const area = clustered ? clusteredRocArea(scores) : rocArea(positive, negative);
  if (!area.ok) return area;
  const { cut, sensitivity, specificity, found, cleared } = bestCut(positive, negative);
  const few = Math.min(positive.length, negative.length);
  return {
    ok: true,
    method: clustered
      ? 'area under the ROC curve over all rated zones, zones of one face kept together (Obuchowski 1997)'
      : 'area under the ROC curve, interval by DeLong, DeLong & Clarke-Pearson 1988; one pair a subject',
    assumptions: [
      {
        name: 'the raters\u2019 majority is a fair standard',
        held: null,
        detail: 'A change that no eye sees counts as no change here, and a measured change there as a false alarm.',
      },
      {
        name: 'enough of both kinds',
        held: few >= 10,
        detail: `${positive.length} worse and ${negative.length} not; with fewer than 10 of a kind the interval is a rough one.`,
      },
      {
        name: 'the cut is judged on other data',
        held: false,
        detail: 'The best cut (Youden) was chosen on these very data, so its sensitivity and specificity are too good.',
      },
    ],
    positives: positive.length,
    negatives: negative.length,
    subjects: new Set(scores.map(({ subject }) => subject)).size,
    area: area.value.area,
    ci95: areaInterval(area.value),
    curve: thinned(
      rocCurve(positive, negative).map(({ falseAlarms, found: hits }): [number, number] => [falseAlarms, hits]),
      MOST_SHOWN,
    ),
    cut: {
      value: -cut,
      sensitivity,
      sensitivityCi95: [...proportion(found, positive.length).ci95],
      specificity,
      specificityCi95: [...proportion(cleared, negative.length).ci95],
    },
  };
}
