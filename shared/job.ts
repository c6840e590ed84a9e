/** A piece of measuring work, as it crosses HTTP, the queue and threads: what is asked, and what became of it. */
import { z } from 'zod';
import { zoneIdSchema } from './comparison.ts';

export const sha256Schema = z.string().regex(/^[0-9a-f]{64}$/);
/** 128 random bits. A comparison has the id of the job that made it. */
export const idSchema = z.string().regex(/^[0-9a-f]{32}$/);
export const daySchema = z.iso.date();

/** The bounds keep a slip of the keyboard out of every millimetre: adults' pupils are 45 to 80 mm apart. */
export const scaleHintSchema = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('iris') }),
  z.object({ kind: z.literal('interpupillary'), distanceMm: z.number().min(40).max(85) }),
  z.object({ kind: z.literal('marker'), sideMm: z.number().min(2).max(200) }),
]);
export type ScaleHintRequest = z.infer<typeof scaleHintSchema>;

/** A photograph on the shelf, under the name it was given. */
export const photoRefSchema = z.object({ sha256: sha256Schema, name: z.string().min(1).max(255) });
export type PhotoRef = z.infer<typeof photoRefSchema>;

/** One file per view, so five at most. */
export const MOST_VIEWS = 5;

export const checkRequestSchema = z.object({
  kind: z.literal('check'),
  photo: photoRefSchema,
  scale: scaleHintSchema.optional(),
});
export type CheckRequest = z.infer<typeof checkRequestSchema>;

export const compareRequestSchema = z.object({
  kind: z.literal('compare'),
  /** What lists call it. */
  title: z.string().min(1).max(200),
  before: z.array(photoRefSchema).min(1).max(MOST_VIEWS),
  after: z.array(photoRefSchema).min(1).max(MOST_VIEWS),
  options: z.object({
    scale: scaleHintSchema.optional(),
    treatedZones: z.array(zoneIdSchema).optional(),
    /** Day of the treatment. */
    treatedOn: daySchema.optional(),
    /** Day of the after photographs, where their files carry none. */
    afterOn: daySchema.optional(),
    /** The profile that error limits are taken from, by its address; without it the validation's stand in. */
    setUp: sha256Schema.optional(),
  }),
  /** The case that comes with the program. */
  demo: z.boolean().optional(),
});
export type CompareRequest = z.infer<typeof compareRequestSchema>;

export const jobRequestSchema = z.discriminatedUnion('kind', [checkRequestSchema, compareRequestSchema]);
export type JobRequest = z.infer<typeof jobRequestSchema>;

/** `done` includes a pair found not comparable: that is an answer. `stopped` was stopped by the user. */
export const JOB_STATES = ['waiting', 'running', 'done', 'failed', 'stopped'] as const;
export type JobState = (typeof JOB_STATES)[number];

/** Why a job failed: a code for machines and a whole sentence for people. `photo` is the sha256 it is about, if one. */
export const jobFaultSchema = z.object({ code: z.string(), message: z.string(), photo: sha256Schema.nullable() });
export type JobFault = z.infer<typeof jobFaultSchema>;

export const jobSchema = z.object({
  id: idSchema,
  kind: z.enum(['check', 'compare']),
  state: z.enum(JOB_STATES),
  request: jobRequestSchema,
  /** What is being done, in words; empty before the first step. */
  step: z.string(),
  /** 0..1 */
  fraction: z.number(),
  attempts: z.number().int(),
  /** A stop was asked for; the runner obeys at the next step. */
  stopAsked: z.boolean(),
  fault: jobFaultSchema.nullable(),
  /** ISO 8601, UTC */
  createdAt: z.string(),
  startedAt: z.string().nullable(),
  endedAt: z.string().nullable(),
});
export type Job = z.infer<typeof jobSchema>;
