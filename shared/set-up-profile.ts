/**
 * The profile of a set-up: how well photographs of unchanged faces repeat with one practice's own camera, light and room.
 *
 * Model   measurement error as COSMIN words it: standard error of measurement, smallest detectable change, limits of agreement;
 *         reliability as ICC(2,1), two-way random effects, absolute agreement, single reading. Errors are those of changes read off
 *         pairs of photographs; of ratios the natural logarithm is meant throughout.
 * Source  Mokkink et al., BMC Medical Research Methodology 20:293, 2020, doi:10.1186/s12874-020-01179-5.
 */
import { z } from 'zod';
import { METRIC_IDS, type MetricId, viewSchema, zoneIdSchema } from './comparison.ts';
import { daySchema } from './job.ts';
import type { ZoneId } from './zones.ts';

export const SET_UP_SCHEMA = 'ebbline.set-up/1';

/** What one pair of repeats reads in each zone: the difference, and the scatter that the pair itself stated for no change. */
export type RepeatReadings = Readonly<Partial<Record<ZoneId, Partial<Record<MetricId, Readonly<{ difference: number; own: number }>>>>>>;

const intervalSchema = z.tuple([z.number(), z.number()]);

export const repeatErrorSchema = z.object({
  people: z.number().int().positive(),
  pairs: z.number().int().positive(),
  /** Degrees of freedom of the standard error; not whole when zones are taken together. */
  freedom: z.number().positive(),
  /** Standard error of measurement and its 95 % interval by chi-square. */
  sem: z.number().nonnegative(),
  semCi95: intervalSchema,
  /** Smallest detectable change, 1.96 sqrt(2) SEM. */
  sdc: z.number().nonnegative(),
  /**
   * What a finding adds in quadrature to the pair's own error: the scatter of repeats, at the upper end of its interval, less what
   * pairs say of themselves. A standard deviation of the difference.
   */
  setUpSd: z.number().nonnegative(),
});
export type RepeatError = z.infer<typeof repeatErrorSchema>;

export const zoneRepeatSchema = repeatErrorSchema.extend({
  /** The share of `setUpSd` that rests on all zones together, the rest being this zone's own: the fewer repeats, the larger. */
  fromAllZones: z.number().min(0).max(1),
  /** Bland & Altman: the later photograph less the earlier, one pair of each person. Null with fewer than 3 people, or without a sign. */
  agreement: z
    .object({
      people: z.number().int(),
      bias: z.number(),
      biasCi95: intervalSchema,
      limits: intervalSchema,
      lowerCi95: intervalSchema,
      upperCi95: intervalSchema,
    })
    .nullable(),
  /** ICC(2,1) of a change read more than once. Null without at least 2 people with a real change between two visits. */
  reliability: z.object({ icc: z.number(), ci95: intervalSchema, people: z.number().int(), readings: z.number().int() }).nullable(),
});
export type ZoneRepeat = z.infer<typeof zoneRepeatSchema>;

const metricIdSchema = z.enum(METRIC_IDS as [MetricId, ...MetricId[]]);

export const setUpProfileSchema = z.object({
  schema: z.literal(SET_UP_SCHEMA),
  name: z.string().trim().min(1).max(80),
  madeOn: daySchema,
  people: z.number().int().positive(),
  /** Pairs of repeats that were compared. */
  pairs: z.number().int().positive(),
  /** Pairs that were left out, and why; people by number, never by name. */
  leftOut: z.array(z.object({ person: z.number().int().positive(), why: z.string() })),
  /** As the cameras name themselves; empty when no file says. */
  cameras: z.array(z.string()),
  views: z.array(viewSchema),
  scaleSource: z.enum(['iris', 'interpupillary', 'marker']),
  /** Between the photographs of a pair; null where files carry no time. */
  minutesApart: z.object({ median: z.number(), most: z.number() }).nullable(),
  versions: z.object({ ebbline: z.string(), landmarkEngine: z.string(), models: z.record(z.string(), z.string()) }),
  zones: z.partialRecord(zoneIdSchema, z.partialRecord(metricIdSchema, zoneRepeatSchema)),
  /** All zones together. */
  allZones: z.partialRecord(metricIdSchema, repeatErrorSchema),
});
export type SetUpProfile = z.infer<typeof setUpProfileSchema>;

/** What a result says of the profile that its error limits come from: `parameters.setUp` of a Comparison. */
export const setUpUsedSchema = z.object({
  name: z.string(),
  /** Of the profile as canonical JSON. */
  sha256: z.string().regex(/^[0-9a-f]{64}$/),
  people: z.number().int(),
  pairs: z.number().int(),
  madeOn: daySchema,
});
export type SetUpUsed = z.infer<typeof setUpUsedSchema>;

/** Null when the error limits are the validation's. */
export function setUpUsed(parameters: Readonly<Record<string, unknown>>): SetUpUsed | null {
  const parsed = setUpUsedSchema.safeParse(parameters.setUp);
  return parsed.success ? parsed.data : null;
}
