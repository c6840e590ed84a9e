/**
 * From the rows of a series to a study: every question of the report asked of every zone and metric that it suits.
 * Same rows, options and seed, same study to the last digit: each zone and metric draws from a stream of its own.
 */
import { randomFrom } from '#lib/stats/random.ts';
import { DECIDING_METRICS, METRIC_IDS, METRICS, type MetricId } from '#shared/comparison.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { GROUP_QUESTIONS, STUDY_SCHEMA, type StudyReport } from '#shared/study.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import { correctedOverZones, studyChange } from './study-change.ts';
import { studyCourse } from './study-course.ts';
import { isRatio, type StudyData } from './study-data.ts';
import { studyFlow } from './study-flow.ts';
import { type Covariate, studyGroups } from './study-groups.ts';
import { studyRaters } from './study-raters.ts';
import { studyReliability, studyRepeatability } from './study-repeatability.ts';
import { studySampleSize } from './study-sample-size.ts';
import { isUsed } from './study-selection.ts';

export type StudyRequest = Readonly<{
  title: string;
  day: string | null;
  madeFrom: StudyReport['madeFrom'];
  options: StudyReport['options'];
  covariate?: Covariate | null;
}>;

export function studyStatistics(
  data: StudyData,
  { title, day, madeFrom, options, covariate = null }: StudyRequest,
): Outcome<StudyReport, 'empty'> {
  if (data.pairs.length === 0) return refused('empty', 'The series holds no pairs, so there is nothing to say of it.');
  const random = randomFrom(options.seed);
  const about = (zone: ZoneId, metric: MetricId) => ({
    zone,
    metric,
    unit: isRatio(metric) ? 'ln' : METRICS[metric].unit,
    scale: isRatio(metric) ? ('log' as const) : ('linear' as const),
    reference: data.isReference(zone),
  });
  /** Every zone with the metrics that it has values of. */
  const each = <T>(metrics: readonly MetricId[], answer: (zone: ZoneId, metric: MetricId) => T) =>
    metrics.flatMap((metric) =>
      ZONE_IDS.filter((zone) => data.column(zone, metric).values.length > 0).map((zone) => ({
        ...about(zone, metric),
        answer: answer(zone, metric),
      })),
    );

  const repeatability = each(METRIC_IDS, (zone, metric) => studyRepeatability(data, data.column(zone, metric), options));
  const sdcOf = (zone: ZoneId, metric: MetricId): number | null => {
    const answer = repeatability.find((row) => row.zone === zone && row.metric === metric)?.answer;
    return answer?.ok ? answer.sdc : null;
  };
  const change = each(METRIC_IDS, (zone, metric) =>
    studyChange(data, data.column(zone, metric), options, random.fork(`${zone} ${metric}`)),
  );
  const groups = GROUP_QUESTIONS.flatMap((question) =>
    correctedOverZones(
      each(DECIDING_METRICS, (zone, metric) => studyGroups(data, data.column(zone, metric), options, question, covariate)),
      ({ test }) => test.p,
    ).map((row) => ({ ...row, question })),
  );
  return found({
    schema: STUDY_SCHEMA,
    title,
    day,
    madeFrom,
    versions: {
      statistics: EBBLINE_VERSION,
      measured: [...new Set(data.pairs.map(({ ebblineVersion }) => ebblineVersion))].sort(),
      parametersSha256: [...new Set(data.pairs.flatMap(({ parametersSha256 }) => parametersSha256 ?? []))].sort(),
    },
    options,
    remarks: remarksOf(data, options, covariate),
    flow: studyFlow(data, options),
    repeatability,
    reliability: each(DECIDING_METRICS, (zone, metric) => studyReliability(data, data.column(zone, metric), options)),
    change: correctedOverZones(change, ({ signFlip }) => signFlip.p),
    groups,
    course: each(DECIDING_METRICS, (zone, metric) => studyCourse(data, data.column(zone, metric), options)),
    raters: studyRaters(data, options),
    sampleSize: each(DECIDING_METRICS, (zone, metric) => studySampleSize(data, data.column(zone, metric), options, sdcOf(zone, metric))),
  });
}

/** What a reader must know before any figure. */
function remarksOf({ pairs }: StudyData, options: StudyReport['options'], covariate: Covariate | null): string[] {
  const used = pairs.filter((pair) => isUsed(pair, options));
  const versions = new Set(used.map(({ ebblineVersion }) => ebblineVersion));
  const parameters = new Set(used.flatMap(({ parametersSha256 }) => parametersSha256 ?? []));
  const scales = new Set(used.flatMap(({ scaleSource }) => scaleSource ?? []));
  const errors = new Set(used.flatMap(({ errorSource }) => errorSource ?? []));
  const untrusted = pairs.filter(({ state, controlTrusted }) => state === 'measured' && controlTrusted === false).length;
  const bare = covariate ? [...new Set(used.map(({ subject }) => subject))].filter((subject) => !covariate.of.has(subject)).length : 0;
  return [
    ...(used.length === 0 ? ['No pair was measured, so that nothing could be worked out; the flow of the data says why.'] : []),
    ...(versions.size > 1
      ? [`Pairs were measured by ${versions.size} versions of Ebbline; measure the series anew with one before comparing.`]
      : []),
    ...(parameters.size > 1 ? [`Pairs were measured with ${parameters.size} sets of parameters.`] : []),
    ...(scales.size > 1
      ? ['Scale comes from different sources in different pairs (iris, pupil distance or marker), with different uncertainty.']
      : []),
    ...(errors.size > 1
      ? ['Findings of some pairs take their error from the validation, of others from the set-up\u2019s own repeats.']
      : []),
    ...(untrusted > 0
      ? [
          `In ${untrusted} measured ${untrusted === 1 ? 'pair' : 'pairs'} the reference zones seemed to change; ${options.untrusted === 'left-out' ? 'these are left out' : 'these are kept, as asked'}.`,
        ]
      : []),
    ...(bare > 0
      ? [
          `${bare} measured ${bare === 1 ? 'subject has' : 'subjects have'} no ${covariate!.name} and cannot enter the comparison of groups.`,
        ]
      : []),
  ];
}
