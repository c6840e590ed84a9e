/**
 * A series of the record as it crosses HTTP, its table and processes: what is asked, how far it is, and what the page hears of it.
 * What a series measures, and what comes out, is in series.ts.
 */
import { z } from 'zod';
import { idSchema, scaleHintSchema, sha256Schema } from './job.ts';

/** More photographs than this are not dropped on a page; a folder of this machine may hold any number. */
export const MOST_DROPPED = 2000;
export const MOST_WORKERS = 16;
/** Of a manifest that comes with dropped photographs, characters; with their addresses it fits a request. */
export const LONGEST_MANIFEST = 400_000;

/** Where the manifest and its photographs are. */
export const seriesSourceSchema = z.discriminatedUnion('kind', [
  /** A file of this machine; photographs are named from its folder. */
  z.object({ kind: z.literal('folder'), manifest: z.string().trim().min(1).max(1000) }),
  /** Dropped on the page: the photographs lie on the shelf. */
  z.object({ kind: z.literal('shelf'), name: z.string().min(1).max(255), text: z.string().min(1).max(LONGEST_MANIFEST) }),
]);
export type SeriesSource = z.infer<typeof seriesSourceSchema>;

/** A photograph of a dropped series, by the name that the manifest has for it. */
export const seriesPhotoRefSchema = z.object({ file: z.string().min(1).max(400), sha256: sha256Schema });
export type SeriesPhotoRef = z.infer<typeof seriesPhotoRefSchema>;

export const seriesOptionsSchema = z.object({
  /** Pairs at the same time. */
  workers: z.number().int().min(1).max(MOST_WORKERS),
  scale: scaleHintSchema.nullable(),
  /** The profile that error limits are taken from, by its address. */
  setUp: sha256Schema.nullable(),
});
export type SeriesOptions = z.infer<typeof seriesOptionsSchema>;

export const seriesAskedSchema = z.object({
  title: z.string().trim().min(1).max(120),
  source: seriesSourceSchema,
  photos: z.array(seriesPhotoRefSchema).max(MOST_DROPPED),
  options: seriesOptionsSchema,
});
export type SeriesAsked = z.infer<typeof seriesAskedSchema>;

/** Work on a series: `measure` goes on with what is open, `again` also with what failed, `export` writes tables that lead back to nobody. */
export const seriesTaskSchema = z.discriminatedUnion('do', [
  z.object({ do: z.literal('measure') }),
  z.object({ do: z.literal('again') }),
  z.object({ do: z.literal('export'), keepGroups: z.boolean() }),
]);
export type SeriesTaskAsked = z.infer<typeof seriesTaskSchema>;

const countSchema = z.number().int().nonnegative();
export const seriesCountsSchema = z.object({
  waiting: countSchema,
  running: countSchema,
  measured: countSchema,
  notComparable: countSchema,
  failed: countSchema,
});
export type SeriesPairCounts = z.infer<typeof seriesCountsSchema>;

export const seriesProgressSchema = z.object({
  /** What is being done, in words. */
  step: z.string(),
  /** Null before the manifest was read. */
  counts: seriesCountsSchema.nullable(),
  /** Pairs a minute, over the last minutes; null until some were done. */
  perMinute: z.number().nonnegative().nullable(),
  /** Sentences about what could not be made beside the tables. */
  remarks: z.array(z.string()),
});
export type SeriesProgress = z.infer<typeof seriesProgressSchema>;

export const SERIES_STATES = ['waiting', 'running', 'done', 'failed', 'stopped'] as const;

export const seriesFaultSchema = z.object({ code: z.string(), message: z.string() });
export type SeriesFault = z.infer<typeof seriesFaultSchema>;

/** What the page hears of a series while it waits for it. */
export const seriesNewsSchema = z.object({
  id: idSchema,
  state: z.enum(SERIES_STATES),
  task: seriesTaskSchema,
  stopAsked: z.boolean(),
  progress: seriesProgressSchema.nullable(),
  fault: seriesFaultSchema.nullable(),
});
export type SeriesNews = z.infer<typeof seriesNewsSchema>;

/** Answered, and all. */
export const answeredOf = (counts: SeriesPairCounts): Readonly<{ done: number; all: number }> => {
  const done = counts.measured + counts.notComparable + counts.failed;
  return { done, all: done + counts.waiting + counts.running };
};
