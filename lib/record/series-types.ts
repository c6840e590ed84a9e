/**
 * Series of the record: which there are, what each asks, and who works on it. Answers of pairs lie in a folder of each series, as
 * series/types.ts describes; this is the list of them, and the queue in front.
 *
 * Names, titles, manifests and faults are sealed. Times are ISO 8601 in UTC.
 */
import type { Outcome } from '#shared/outcome.ts';
import type {
  SeriesAsked,
  SeriesFault,
  SeriesNews,
  SeriesOptions,
  SeriesPairCounts,
  SeriesPhotoRef,
  SeriesProgress,
  SeriesSource,
  SeriesTaskAsked,
} from '#shared/series-job.ts';
import type { SeriesHead, StoredPair } from './series/types.ts';
import type { Word } from './types.ts';

export type StoredSeries = SeriesNews &
  Readonly<{
    title: string;
    source: SeriesSource;
    options: SeriesOptions;
    attempts: number;
    createdAt: string;
    startedAt: string | null;
    endedAt: string | null;
  }>;

export type SeriesRefusal = 'gone' | 'busy';

/** The folders of files that may be taken away. */
export const SERIES_SETS = ['tables', 'study', 'deidentified'] as const;
export type SeriesSet = (typeof SERIES_SETS)[number];

export type SeriesFile = Readonly<{ set: SeriesSet; name: string; bytes: number; writtenAt: string }>;

/** Which pairs are looked at; nothing given is all of them. */
export type PairFilter = Readonly<{
  /** Begins with. */
  subject?: string | undefined;
  state?: StoredPair['state'] | undefined;
  /** Pairs in which this zone, or any, has this finding. */
  zone?: string | undefined;
  finding?: string | undefined;
}>;

export type PairList = Readonly<{ total: number; pairs: readonly StoredPair[] }>;

/** Why pairs have no measured answer: a code, how many pairs, and one of them. */
export type PairTally = Readonly<{
  state: 'failed' | 'not-comparable';
  code: string;
  pairs: number;
  example: string;
  message: string | null;
}>;

/** A look at the answers of one series. To be closed. */
export type SeriesView = Readonly<{
  head: SeriesHead | null;
  counts: () => SeriesPairCounts;
  /** In the order of ids, with their comparisons; `from` is how many are passed over. */
  list: (filter: PairFilter, from: number, limit: number) => PairList;
  pair: (id: string) => StoredPair | null;
  /** The commonest first. */
  tally: () => readonly PairTally[];
  close: () => void;
}>;

export type SeriesShelf = {
  /** Returns the new series' id; it waits for the runner. Throws RangeError when a photograph is not on the shelf. */
  addSeries(asked: SeriesAsked): Promise<string>;
  series(id: string): Promise<StoredSeries | null>;
  /** Newest first. */
  listSeries(limit?: number): Promise<StoredSeries[]>;
  /** Photographs of a dropped series, by the manifest's names. */
  seriesPhotos(id: string): Promise<readonly SeriesPhotoRef[]>;
  /** More work on a series that rests. */
  askSeries(id: string, task: SeriesTaskAsked): Promise<Outcome<null, SeriesRefusal>>;
  /** A waiting one stops at once, a running one when it next hears of it. False when there is none. */
  stopSeries(id: string): Promise<boolean>;
  /** Takes a series that rests away, with its folder, and photographs that nothing else uses. How many photographs. */
  removeSeries(id: string): Promise<Outcome<{ photos: number }, SeriesRefusal>>;
  /** Where its answers and tables lie. */
  seriesFolder(id: string): string;
  /** Null when nothing was answered yet, or the folder is not beside this record. */
  seriesView(id: string): SeriesView | null;
  seriesFiles(id: string): Promise<readonly SeriesFile[]>;
  /** Null for every other name. The stream is the caller's to read or to end. */
  openSeriesFile(id: string, set: string, name: string): Promise<Readonly<{ bytes: number; stream: ReadableStream<Uint8Array> }> | null>;
};

/** `runner` names one process; only the holder of a series can write to it. */
export type SeriesDesk = {
  claimSeries(runner: string): Promise<StoredSeries | null>;
  seriesProgress(id: string, runner: string, progress: SeriesProgress): Promise<Word>;
  settleSeries(id: string, runner: string, state: 'done' | 'stopped' | 'failed', fault?: SeriesFault): Promise<boolean>;
  /** The holder gives it back: `untried` on a clean end; else it fails when it was tried too often. */
  giveSeriesBack(id: string, runner: string, how: { untried: boolean }): Promise<void>;
  /** Takes back series of runners silent for longer. How many. */
  reclaimSeries(silentMs: number): Promise<number>;
};
