/**
 * What a series says as a study: plain JSON with a versioned schema. Every answer names its method and whether its assumptions held; what
 * the data cannot carry is refused with a reason. Loss is negative, gain positive; left and right are the subject's.
 *
 * Scale   `linear` values are in the metric's unit; `log` ones are natural logarithms of a ratio, 0 for no change.
 */
import { z } from 'zod';
import { METRIC_IDS, type MetricId, zoneIdSchema } from './comparison.ts';
import { daySchema, sha256Schema } from './job.ts';
import { PAIR_STATES } from './series.ts';

export const STUDY_SCHEMA = 'ebbline.study/1';

const metricIdSchema = z.enum(METRIC_IDS as [MetricId, ...MetricId[]]);
const interval = z.tuple([z.number(), z.number()]);
const count = z.number().int().nonnegative();
const share = z.number().min(0).max(1);

export const GROUP_QUESTIONS = ['whole-change', 'after-first'] as const;
export type GroupQuestion = (typeof GROUP_QUESTIONS)[number];

/** `held` is null when it could not be tested, or can only be argued; `detail` says by what, and with what figures. */
export const assumptionSchema = z.object({ name: z.string(), held: z.boolean().nullable(), detail: z.string() });
export type Assumption = z.infer<typeof assumptionSchema>;

const refusalSchema = z.object({ ok: z.literal(false), why: z.string(), detail: z.string() });
const answer = <S extends z.ZodRawShape>(shape: S) =>
  z.discriminatedUnion('ok', [
    z.object({ ok: z.literal(true), method: z.string(), assumptions: z.array(assumptionSchema), ...shape }),
    refusalSchema,
  ]);

const about = {
  zone: zoneIdSchema,
  metric: metricIdSchema,
  unit: z.string(),
  scale: z.enum(['linear', 'log']),
  /** A reference zone in most pairs: a negative control, kept out of the corrections for many zones. */
  reference: z.boolean(),
};
const fisher = z.object({ f: z.number(), top: z.number(), bottom: z.number(), p: share });

export const repeatabilityAnswerSchema = answer({
  subjects: count,
  pairs: count,
  freedom: z.number(),
  sem: z.number(),
  semCi95: interval,
  sdc: z.number(),
  sdcCi95: interval,
  /** Null for magnitudes, which have no sign, and with fewer than 3 subjects. */
  agreement: z
    .object({
      method: z.string(),
      subjects: count,
      differences: count,
      bias: z.number(),
      biasCi95: interval,
      limits: interval,
      lowerCi95: interval,
      upperCi95: interval,
    })
    .nullable(),
  /** For the figure, rising; of many an even choice with both ends. Empty for metrics that decide nothing. */
  differences: z.array(z.number()),
});

export const reliabilityAnswerSchema = answer({
  subjects: count,
  readings: count,
  forms: z.array(
    z.object({
      form: z.string(),
      mcGrawWong: z.string(),
      model: z.string(),
      type: z.string(),
      definition: z.string(),
      value: z.number(),
      ci95: interval,
      p: share,
      band: z.string(),
    }),
  ),
});

export const changeAnswerSchema = answer({
  subjects: count,
  pairs: count,
  mean: z.number(),
  sd: z.number(),
  u: z.number(),
  ci95: interval,
  t: z.object({ t: z.number(), freedom: z.number(), p: share }),
  /** Null when every change is 0. */
  signedRank: z.object({ method: z.string(), zeros: count, ties: z.boolean(), rankSum: z.number(), p: share }).nullable(),
  signFlip: z.object({ method: z.string(), patterns: count, p: share }),
  effect: z.object({ d: z.number(), dCi95: interval, hedges: z.number(), hedgesCi95: interval }),
  /** Of the sign-flip test, over the zones of this metric that are no reference. */
  pHolm: share.nullable(),
  pBh: share.nullable(),
  /** Over all pairs, subjects drawn anew; null when each subject has one pair or there are too few. */
  clustered: z.object({ mean: z.number(), ci95: interval, pairs: count, draws: count }).nullable(),
  /** Subjects whose own pair was beyond error. */
  beyondError: z.object({ count, of: count, share, ci95: interval }),
});

export const groupsAnswerSchema = answer({
  covariate: z.object({ name: z.string(), slope: z.number(), at: z.number() }).nullable(),
  groups: z.array(
    z.object({ group: z.string(), n: count, mean: z.number(), sd: z.number(), adjusted: z.number(), adjustedCi95: interval }),
  ),
  test: fisher,
  differences: z.array(
    z.object({
      group: z.string(),
      against: z.string(),
      value: z.number(),
      ci95: interval,
      p: share,
      /** Unadjusted; null when it cannot be told. */
      hedges: z.number().nullable(),
      hedgesCi95: interval.nullable(),
    }),
  ),
  pHolm: share.nullable(),
  pBh: share.nullable(),
});

const coursePoint = z.object({
  visit: z.string(),
  group: z.string().nullable(),
  /** Median over the subjects; null where no day is known. */
  days: z.number().nullable(),
  subjects: count,
  mean: z.number(),
  /** Null for one subject, or when all are equal. */
  ci95: interval.nullable(),
});
export const courseAnswerSchema = answer({
  points: z.array(coursePoint),
  /** Mean of the subjects' own slopes; null where fewer than 3 subjects have two days. */
  trend: z.object({ subjects: count, perDay: z.number(), ci95: interval, p: share }).nullable(),
});

export const kappaAnswerSchema = answer({
  raters: z.tuple([z.string(), z.string()]),
  rated: count,
  same: share,
  linear: z.object({ value: z.number(), ci95: interval, p: share }),
  quadratic: z.object({ value: z.number(), ci95: interval, p: share }),
});

export const rocAnswerSchema = answer({
  positives: count,
  negatives: count,
  subjects: count,
  area: z.number(),
  /** Null when the area is just 0 or 1. */
  ci95: interval.nullable(),
  /** Share of false alarms and of hits; of many points an even choice with both ends. */
  curve: z.array(z.tuple([z.number(), z.number()])),
  cut: z.object({ value: z.number(), sensitivity: share, sensitivityCi95: interval, specificity: share, specificityCi95: interval }),
});

export const sampleSizeAnswerSchema = answer({
  sdc: z.number().nullable(),
  sdOfError: z.number().nullable(),
  sdSeen: z.number().nullable(),
  subjects: count,
  rows: z.array(
    z.object({
      change: z.number(),
      /** Subjects for a paired study where error alone scatters, and with the scatter seen; null where unknown or past a million. */
      fromError: count.nullable(),
      fromSeen: count.nullable(),
      /** In each of two groups. */
      eachGroup: count.nullable(),
      /** Of the paired study with the subjects there are. */
      powerNow: share.nullable(),
    }),
  ),
});

export const studyFlowSchema = z.object({
  subjects: count,
  groups: z.array(z.object({ group: z.string().nullable(), subjects: count })),
  visits: count,
  change: z.object({ pairs: count, measured: count, notComparable: count, failed: count, untrusted: count, used: count, subjects: count }),
  repeat: z.object({ pairs: count, measured: count, notComparable: count, failed: count, untrusted: count, used: count, subjects: count }),
  reasons: z.array(z.object({ state: z.enum(PAIR_STATES), reason: z.string(), pairs: count })),
  /** Of the used change pairs. */
  zones: z.array(z.object({ zone: zoneIdSchema, reference: z.boolean(), pairs: count, assessable: count, subjects: count })),
});
export type StudyFlow = z.infer<typeof studyFlowSchema>;

export const studySchema = z.object({
  schema: z.literal(STUDY_SCHEMA),
  title: z.string(),
  /** The day the study's report bears: given, or from the series; null when nobody said. */
  day: daySchema.nullable(),
  madeFrom: z.object({ resultsSha256: sha256Schema, pairsSha256: sha256Schema, ratingsSha256: sha256Schema.nullable() }),
  versions: z.object({ statistics: z.string(), measured: z.array(z.string()), parametersSha256: z.array(z.string()) }),
  options: z.object({
    seed: z.number().int(),
    perSubject: z.enum(['last', 'first', 'mean']),
    untrusted: z.enum(['left-out', 'kept']),
    against: z.string().nullable(),
    covariate: z.string().nullable(),
    alpha: z.number(),
  }),
  remarks: z.array(z.string()),
  flow: studyFlowSchema,
  repeatability: z.array(z.object({ ...about, answer: repeatabilityAnswerSchema })),
  /** A change of one subject read more than once on one day. */
  reliability: z.array(z.object({ ...about, answer: reliabilityAnswerSchema })),
  change: z.array(z.object({ ...about, answer: changeAnswerSchema })),
  /** `whole-change` from the baseline; `after-first` from the first follow-up to the last, with the first as covariate. */
  groups: z.array(z.object({ ...about, question: z.enum(GROUP_QUESTIONS), answer: groupsAnswerSchema })),
  course: z.array(z.object({ ...about, answer: courseAnswerSchema })),
  raters: z.object({
    /** `zone` null is the whole face. */
    reliability: z.array(z.object({ zone: zoneIdSchema.nullable(), answer: reliabilityAnswerSchema })),
    kappa: z.array(z.object({ zone: zoneIdSchema.nullable(), answer: kappaAnswerSchema })),
    /** `zone` null is all zones together, several a face. */
    roc: z.array(z.object({ zone: zoneIdSchema.nullable(), metric: metricIdSchema, answer: rocAnswerSchema })),
  }),
  sampleSize: z.array(z.object({ ...about, answer: sampleSizeAnswerSchema })),
});
export type StudyReport = z.infer<typeof studySchema>;
export type Answered<T extends { answer: { ok: boolean } }> = T & { answer: Extract<T['answer'], { ok: true }> };

/** Whether it was answered, for filters. */
export const isAnswered = <T extends { answer: { ok: boolean } }>(one: T): one is Answered<T> => one.answer.ok;
