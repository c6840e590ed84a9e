/**
 * The queue and the results of a series. One interface with two stores beneath: a SQLite file for the threads of one machine, and
 * PostgreSQL for many machines. Each pair is answered exactly once, whatever dies meanwhile.
 *
 * States  waiting -> running -> measured | not-comparable | failed. A running pair has a lease; when nobody renews it, the pair
 *         waits again. An answer counts once: the first that comes for the pair as it is now asked. Measuring is a function
 *         of its inputs, so it doesn't matter which of two workers answers first.
 * Times are ISO 8601 in UTC.
 */
import type { Comparison } from '#shared/comparison.ts';
import type { ScaleHintRequest } from '#shared/job.ts';
import type { PairState, RatingRow, SeriesPair } from '#shared/series.ts';
import type { SetUpProfile } from '#shared/set-up-profile.ts';

/** What is asked of every pair alike. */
export type SeriesAsk = Readonly<{ scale: ScaleHintRequest | null; setUp: SetUpProfile | null }>;

/** A row of the manifest that was left out; `line` is its place there. */
export type LeftOutRow = Readonly<{ line: number; code: string; message: string }>;

export type SeriesHead = Readonly<{
  ask: SeriesAsk;
  manifestName: string;
  manifestSha256: string;
  ratings: readonly RatingRow[];
  leftOut: readonly LeftOutRow[];
}>;

/** A pair in somebody's hands. */
export type SeriesTask = Readonly<{
  /** The pair's id. */
  id: string;
  /** The series that it belongs to; empty where a store holds one only. */
  series: string;
  pair: SeriesPair;
  ask: SeriesAsk;
  /** SHA-256 of what is asked: the pair, the options and the program's version. */
  spec: string;
  /** By which the store knows the delivery again. */
  ticket: string;
  /** From 1. */
  attempt: number;
}>;

export type PairFault = Readonly<{ code: string; message: string }>;

/** A photograph as it was read. `stamp` changes when the file does, as far as a look without reading can tell; null where none can. */
export type PairInput = Readonly<{ role: 'before' | 'after'; file: string; sha256: string; bytes: number; stamp: string | null }>;

/** `key` is SHA-256 of everything that the comparison is a function of; equal keys have equal comparisons. */
export type PairAnswer =
  | Readonly<{ state: 'measured' | 'not-comparable'; key: string; inputs: readonly PairInput[]; comparison: Comparison }>
  | Readonly<{ state: 'failed'; inputs: readonly PairInput[]; fault: PairFault }>;

export type StoredPair = Readonly<{
  pair: SeriesPair;
  state: 'waiting' | 'running' | PairState;
  attempts: number;
  key: string | null;
  inputs: readonly PairInput[];
  fault: PairFault | null;
  /** Null unless measured or not comparable. */
  comparison: Comparison | null;
}>;

export type SeriesCounts = Readonly<{ waiting: number; running: number; measured: number; notComparable: number; failed: number }>;

/** How pairs are asked for: `after` is the id that the page follows, in the order of the ids' UTF-8 bytes. */
export type PairPage = Readonly<{ after?: string; limit?: number; state?: StoredPair['state'] }>;

export type SeriesStore = {
  /** Null before the first `begin`. */
  head(): Promise<SeriesHead | null>;
  /**
   * Takes the pairs as they are asked for now. A pair asked for as before keeps its answer; one asked for otherwise waits anew; one
   * no longer asked for is forgotten. How many of each.
   */
  begin(head: SeriesHead, pairs: readonly SeriesPair[]): Promise<Readonly<{ added: number; kept: number; changed: number; gone: number }>>;
  /** The next pair, with a lease of LEASE_MS; pairs that were tried come after those that were not. Null when none waits. */
  claim(worker: string): Promise<SeriesTask | null>;
  /** Renews the leases of all pairs that `worker` holds. To be called every RENEW_MS. */
  renew(worker: string): Promise<void>;
  /** True when the answer was taken: the pair had none yet and is still asked for so. Whoever holds it. */
  finish(task: SeriesTask, answer: PairAnswer): Promise<boolean>;
  /** The holder gives the pair back untried (a clean stop). */
  release(worker: string): Promise<number>;
  /** The holder could not finish; the pair waits again, or fails with `fault` once it has been tried MOST_ATTEMPTS times. */
  giveUp(task: SeriesTask, worker: string, fault: PairFault): Promise<boolean>;
  /** Takes back pairs whose lease has run out; those tried MOST_ATTEMPTS times fail. How many. */
  reclaim(): Promise<number>;
  /** An answered pair waits again, such as when its files have changed. Its comparison stays known by its key. */
  again(pairs: readonly string[]): Promise<number>;
  /** The comparison under that key, if any pair ever had it. */
  known(key: string): Promise<Comparison | null>;
  counts(): Promise<SeriesCounts>;
  pair(id: string): Promise<StoredPair | null>;
  /** In the order of ids; comparisons are not loaded here. */
  pairs(page?: PairPage): Promise<readonly StoredPair[]>;
  close(): Promise<void>;
};

/** A worker that was not heard for so long is taken for dead. */
export const LEASE_MS = 15_000;
export const RENEW_MS = 4_000;

/** A pair that lost its worker this often is not tried again: it is probably the cause. */
export const MOST_ATTEMPTS = 5;

export const LOST: PairFault = {
  code: 'lost',
  message:
    `The measurement of this pair was begun ${MOST_ATTEMPTS} times and never finished, probably for lack of memory. Close other programs, or use fewer ` +
    'workers, and run it again with --retry-failed.',
};
