/**
 * The record: what is kept between one measurement and the next. One interface, so that SQLite can be exchanged for
 * another store; every method is a promise for that reason.
 *
 * Several processes use it at once: pages add photographs and jobs and read; the runner takes jobs and writes results.
 * Reading a photograph, or anything else that is sealed, throws VaultError `damaged` when it is not as it was sealed.
 * Times are ISO 8601 in UTC. Ids are 32 hexadecimal digits; photographs are addressed by the SHA-256 of their bytes.
 */
import type { Comparison } from '#shared/comparison.ts';
import type { Job, JobFault, JobRequest, JobState } from '#shared/job.ts';
import type { Outcome } from '#shared/outcome.ts';
import type { PhotoCheck } from '#shared/photo-check.ts';
import type { SetUpProfile } from '#shared/set-up-profile.ts';
import type { CaseRecord } from './case-types.ts';
import type { SeriesDesk, SeriesShelf } from './series-types.ts';
import type { Protection } from './vault.ts';

export type StoredPhoto = Readonly<{
  sha256: string;
  /** The name it first came under. */
  name: string;
  bytes: number;
  addedAt: string;
}>;

export type ShelfFault = 'empty' | 'too-large' | 'no-room';

/** One line of the list of comparisons. */
export type ComparisonSummary = Readonly<{
  id: string;
  title: string;
  demo: boolean;
  createdAt: string;
  comparable: boolean;
  /** Zones beyond error, zones assessed. */
  beyondError: number;
  assessed: number;
  views: readonly string[];
}>;

export type StoredComparison = ComparisonSummary & Readonly<{ comparison: Comparison; request: Extract<JobRequest, { kind: 'compare' }> }>;

/** What `progress` answers: go on, or stop because the user asked for it or the job is no longer this runner's. */
export type Word = 'go-on' | 'stop';

/** Photographs, byte for byte as they came, and the small pictures made of them. */
export type PhotoShelf = {
  /** Adding the same bytes again is no error and changes nothing. Refuses nothing at all, and more than `mostBytes`. */
  addPhoto(bytes: Uint8Array, name: string): Promise<Outcome<StoredPhoto, ShelfFault>>;
  /** The same from a stream, which is never held in memory whole. */
  addPhotoStream(chunks: AsyncIterable<Uint8Array>, name: string, mostBytes?: number): Promise<Outcome<StoredPhoto, ShelfFault>>;
  photo(sha256: string): Promise<StoredPhoto | null>;
  photoBytes(sha256: string): Promise<Uint8Array | null>;
  /** Upright sRGB JPEG, at most 1600 px long. Null until a check has made it. */
  preview(sha256: string): Promise<Uint8Array | null>;
  putPreview(sha256: string, jpeg: Uint8Array): Promise<void>;
  /** Removes the photograph and what was made of it. False when a comparison or an unfinished job still uses it. */
  removePhoto(sha256: string): Promise<boolean>;
};

/** The asking side of the queue. */
export type JobQueue = {
  /**
   * Returns the job's id. Idempotent: while an equal request is waiting, running or done (and its result still
   * there), its id is returned and nothing is added, unless `again` is set. Throws RangeError when a
   * photograph is not on the shelf, and ZodError when the request does not fit its schema.
   */
  enqueue(request: JobRequest, how?: { again?: boolean }): Promise<string>;
  job(id: string): Promise<Job | null>;
  /** Newest first. */
  jobs(which?: { state?: JobState; kind?: Job['kind']; limit?: number }): Promise<Job[]>;
  /** A waiting job stops at once, a running one at its next step. Null when there is no such job. */
  cancel(id: string): Promise<Job | null>;
  /** The answer of a finished check; null when not done, or not a check. */
  checkResult(id: string): Promise<PhotoCheck | null>;
};

/** The working side of the queue. `runner` names one process; only the holder of a job can write to it. */
export type JobDesk = {
  /** The oldest waiting job (of `kind`, if given), checks before comparisons, now running and held by `runner`; or null. */
  claim(runner: string, kind?: Job['kind']): Promise<Job | null>;
  progress(id: string, runner: string, step: string, fraction: number): Promise<Word>;
  /** Says that `runner` lives. Jobs whose runner is silent are taken back. */
  heartbeat(runner: string): Promise<void>;
  finishCheck(id: string, runner: string, result: PhotoCheck): Promise<boolean>;
  /** Files are plate files (shared/plates.ts) and report files; all are on disk before the job is done. */
  finishCompare(id: string, runner: string, comparison: Comparison, files: readonly NamedFile[]): Promise<boolean>;
  /** With `retry`, the job waits again unless it has been tried twice. */
  fail(id: string, runner: string, fault: JobFault, how?: { retry?: boolean }): Promise<boolean>;
  /** After a stop was asked for. */
  stopped(id: string, runner: string): Promise<boolean>;
  /** Takes back jobs of runners silent for longer than `silentMs`; tried twice already, they fail. How many. */
  reclaim(silentMs: number): Promise<number>;
  /** Returns this runner's jobs to the queue at once, untried: a clean shutdown. */
  release(runner: string): Promise<number>;
};

export type NamedFile = Readonly<{ name: string; bytes: Uint8Array }>;

export type ComparisonShelf = {
  comparison(id: string): Promise<StoredComparison | null>;
  /** Newest first. */
  listComparisons(which?: { limit?: number; demo?: boolean }): Promise<ComparisonSummary[]>;
  /** A file of the comparison, by a name that `plateFileName` or `REPORT_FILES` gives; null for every other name. */
  plateFile(id: string, name: string): Promise<Uint8Array | null>;
  plateFiles(id: string): Promise<readonly string[]>;
  /** Removes the comparison, its files, its job, and photographs that nothing else uses. False when there was none. */
  removeComparison(id: string): Promise<boolean>;
};

export type StoredSetUp = Readonly<{ sha256: string; addedAt: string; profile: SetUpProfile }>;

/** Profiles of set-ups, addressed by the SHA-256 of their canonical JSON; none is ever edited. */
export type SetUpShelf = {
  /** Returns the profile's address. The same profile again changes nothing. Throws ZodError when it does not fit its schema. */
  addSetUp(profile: SetUpProfile): Promise<string>;
  /** By address, or the newest of that name. */
  setUp(nameOrSha256: string): Promise<StoredSetUp | null>;
  /** The newest of each name, by name. */
  listSetUps(): Promise<StoredSetUp[]>;
  /** Takes all profiles of that name away; comparisons made with them keep their numbers. How many. */
  removeSetUp(name: string): Promise<number>;
};

export type RecordStore = PhotoShelf &
  JobQueue &
  JobDesk &
  ComparisonShelf &
  SetUpShelf &
  SeriesShelf &
  SeriesDesk &
  CaseRecord & {
    /** What the key of the record is kept by. */
    protection: Protection;
    /** Sentences for the user about what was put right while it was opened. */
    notes: readonly string[];
    /** True for exactly one caller in the life of the record. */
    firstTime(what: string): Promise<boolean>;
    /** Removes what a crash left: half written more than a day ago, or whole and without a row. How many. */
    sweep(): Promise<number>;
    /** True while some runner has been heard within the last few seconds. */
    runnerAlive(): Promise<boolean>;
    close(): Promise<void>;
  };

/** Beside the plates, a comparison keeps these. */
export const REPORT_FILES = ['report.html', 'table.csv'] as const;

// openRecord(options?: { dataDir?: string; key?: Uint8Array; passphrase?: string }): RecordStore is in open.ts; one per process is enough:
// sharedRecord(): RecordStore returns the same one each time (also across Next's hot reloads).
