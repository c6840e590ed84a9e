/**
 * A series of pairs as it crosses files, tables and HTTP: which pairs there are, what each answered in tidy rows, and what raters said.
 *
 * A tidy row is one pair, one zone, one metric. Loss is negative, gain positive; left and right are the subject's.
 */
import { z } from 'zod';
import { FINDINGS, METRIC_IDS, type MetricId, viewSchema, zoneIdSchema } from './comparison.ts';
import { daySchema, sha256Schema } from './job.ts';

export const SERIES_SCHEMA = 'ebbline.series/1';

/** A label that subjects, visits, groups and raters go by: no path, no control character. */
export const labelSchema = z
  .string()
  .trim()
  .min(1)
  .max(80)
  .regex(/^[^\p{C}/\\]+$/u, 'may not hold slashes or control characters');

/** `change`: a follow-up against its baseline. `repeat`: photographs of one visit taken again, where nothing has changed. */
export const PAIR_KINDS = ['change', 'repeat'] as const;
export type PairKind = (typeof PAIR_KINDS)[number];

/** A photograph of a series; `file` is relative to the manifest's folder, with forward slashes. */
export const seriesPhotoSchema = z.object({ file: z.string().min(1), view: viewSchema.nullable() });
export type SeriesPhoto = z.infer<typeof seriesPhotoSchema>;

/** A pair to be measured, as the manifest gives it. */
export const seriesPairSchema = z.object({
  /** `SUBJECT/BEFORE-VISIT/AFTER-VISIT`, unique in the series. */
  pair: z.string(),
  kind: z.enum(PAIR_KINDS),
  subject: labelSchema,
  group: labelSchema.nullable(),
  beforeVisit: labelSchema,
  afterVisit: labelSchema,
  beforeOn: daySchema.nullable(),
  afterOn: daySchema.nullable(),
  treatedOn: daySchema.nullable(),
  concernZones: z.array(zoneIdSchema),
  before: z.array(seriesPhotoSchema).min(1).max(5),
  after: z.array(seriesPhotoSchema).min(1).max(5),
});
export type SeriesPair = z.infer<typeof seriesPairSchema>;

/** What a rater said of one zone of one pair: the after photographs graded against the before, worse is negative. */
export const ratingRowSchema = z.object({
  pair: z.string(),
  rater: labelSchema,
  zone: zoneIdSchema.nullable(),
  grade: z.number().int().min(-4).max(4),
});
export type RatingRow = z.infer<typeof ratingRowSchema>;

/** How a pair ended. `not-comparable` is an answer of the gate; `failed` could not be read or met an error. */
export const PAIR_STATES = ['measured', 'not-comparable', 'failed'] as const;
export type PairState = (typeof PAIR_STATES)[number];

/** One row of `pairs.csv`: the pair's own facts. */
export const pairRowSchema = z.object({
  pair: z.string(),
  kind: z.enum(PAIR_KINDS),
  subject: labelSchema,
  group: labelSchema.nullable(),
  beforeVisit: labelSchema,
  afterVisit: labelSchema,
  /** From the day of the before photographs to that of the after, and from the treatment to the after. */
  daysApart: z.number().int().nullable(),
  daysSinceTreatment: z.number().int().nullable(),
  state: z.enum(PAIR_STATES),
  /** The refusing checks' ids, or the fault's code; empty when measured. */
  reasons: z.array(z.string()),
  views: z.array(viewSchema),
  /** Checks that passed with a note. */
  cautions: z.array(z.string()),
  controlTrusted: z.boolean().nullable(),
  scaleSource: z.enum(['iris', 'interpupillary', 'marker']).nullable(),
  scaleRelU: z.number().nullable(),
  errorSource: z.enum(['validation', 'own-repeats']).nullable(),
  pooledVolumeMl: z.number().nullable(),
  pooledP: z.number().nullable(),
  pooledFinding: z.enum(FINDINGS).nullable(),
  beforeSha256: z.array(sha256Schema),
  afterSha256: z.array(sha256Schema),
  /** Of the comparison as canonical JSON; null when there is none. */
  comparisonSha256: sha256Schema.nullable(),
  ebblineVersion: z.string(),
  parametersSha256: sha256Schema.nullable(),
});
export type PairRow = z.infer<typeof pairRowSchema>;

/** One row of `results.csv`. Zones that could not be assessed keep a row for each deciding metric, without a value. */
export const tidyRowSchema = z.object({
  pair: z.string(),
  kind: z.enum(PAIR_KINDS),
  subject: labelSchema,
  group: labelSchema.nullable(),
  beforeVisit: labelSchema,
  afterVisit: labelSchema,
  daysApart: z.number().int().nullable(),
  daysSinceTreatment: z.number().int().nullable(),
  zone: zoneIdSchema,
  reference: z.boolean(),
  assessable: z.boolean(),
  /** Shares of the zone's area, 0..1. */
  seen: z.number(),
  trusted: z.number(),
  areaMm2: z.number(),
  metric: z.enum(METRIC_IDS as [MetricId, ...MetricId[]]),
  value: z.number().nullable(),
  unit: z.string(),
  /** Standard uncertainty, k = 1, and the 95 % interval, in `unit`. */
  u: z.number().nullable(),
  ciLow: z.number().nullable(),
  ciHigh: z.number().nullable(),
  sdc: z.number().nullable(),
  p: z.number().nullable(),
  pHolm: z.number().nullable(),
  finding: z.enum(FINDINGS),
  ebblineVersion: z.string(),
});
export type TidyRow = z.infer<typeof tidyRowSchema>;
