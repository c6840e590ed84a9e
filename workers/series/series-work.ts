/**
 * One piece of work on a series of the record, as it was asked for on the page: measuring what is open, or an export that leads back
 * to nobody. The same run, tables and statistics as `ebbline series`, in the folder of the series.
 */
import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import { makePrivateDir } from '#lib/record/files.ts';
import { folderPhotographs } from '#lib/record/series/folder-photographs.ts';
import { manifestFile } from '#lib/record/series/manifest-file.ts';
import { sha256Of } from '#lib/record/series/pack.ts';
import type { SeriesHead, SeriesStore } from '#lib/record/series/types.ts';
import { SERIES_FILE, seriesSetDir } from '#lib/record/series-places.ts';
import type { StoredSeries } from '#lib/record/series-types.ts';
import type { RecordStore } from '#lib/record/types.ts';
import { deidentifier } from '#lib/series/deidentify.ts';
import { type Manifest, readManifest } from '#lib/series/manifest.ts';
import { studyStatistics } from '#lib/series/study-statistics.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import type { SeriesPairCounts, SeriesProgress } from '#shared/series-job.ts';
import { makePace } from '#workers/commands/series-pace.ts';
import { deidentifyKey } from './deidentify-key.ts';
import { openStore } from './open-place.ts';
import { readStudy } from './read-study.ts';
import { runSeries } from './run-series.ts';
import type { PhotoPlace, StorePlace } from './series-messages.ts';
import { shelfPhotographs } from './shelf-photographs.ts';
import { changedPairs, failedPairs } from './what-again.ts';
import { writeStudy } from './write-study.ts';
import { writeTables } from './write-tables.ts';

export type WorkPlace = Readonly<{
  record: RecordStore;
  /** In whose name the series is held. */
  runner: string;
  dataDir: string;
  key: Uint8Array | undefined;
  /** The program ends: what is in hand is given back, and nothing more is written. */
  ending: AbortSignal;
  threadFile?: URL;
  log?: (event: string, details: Readonly<Record<string, unknown>>) => void;
}>;

/** Settles the series, unless the program ends first. Never throws for bad data. */
export async function seriesWork(place: WorkPlace, series: StoredSeries): Promise<void> {
  const { record, runner, ending } = place;
  const done = await (series.task.do === 'export' ? exportWork(place, series, series.task.keepGroups) : measureWork(place, series));
  if (ending.aborted) return;
  if (done.ok) await record.settleSeries(series.id, runner, done.value);
  else await record.settleSeries(series.id, runner, 'failed', { code: done.why, message: done.detail });
}

type Ended = Outcome<'done' | 'stopped', string>;

async function measureWork(place: WorkPlace, series: StoredSeries): Promise<Ended> {
  const { record, dataDir, key, ending } = place;
  const { id, options, task } = series;
  const tell = teller(place, id);
  await tell('Reading the manifest', series.progress?.counts ?? null);
  const setUp = options.setUp === null ? null : await record.setUp(options.setUp);
  if (options.setUp !== null && !setUp)
    return refused('no-set-up', 'The chosen set-up is no longer kept, so pairs would be judged by other limits. Begin a new series.');
  const read = await manifestOf(place, series);
  if (!read.ok) return read;
  const { manifest, folder, ...named } = read.value;
  const head: SeriesHead = {
    ...named,
    ask: { scale: options.scale, setUp: setUp?.profile ?? null },
    ratings: manifest.ratings,
    leftOut: manifest.faults,
  };

  const dir = record.seriesFolder(id);
  await makePrivateDir(dir);
  const store: StorePlace = { kind: 'sqlite', file: join(dir, SERIES_FILE) };
  const photographs: PhotoPlace = folder ?? { dataDir, key, series: id };
  const opened = await openStore(store);
  try {
    await opened.begin(head, manifest.pairs);
    await opened.again(await changedPairs(opened, folder === null ? await shelfPhotographs(record, id) : folderPhotographs(folder)));
    if (task.do === 'again') await opened.again(await failedPairs(opened));
    const stop = new AbortController();
    const pace = makePace();
    const counts = await runSeries(opened, {
      start: { store, photographs, plates: null },
      workers: options.workers,
      untilDone: true,
      signal: AbortSignal.any([stop.signal, ending]),
      countMs: manifest.pairs.length > 50_000 ? 10_000 : 1000,
      onCounts: (now) =>
        void tell('Measuring', now, pace.look(now).perMinute).then((word) => {
          if (word === 'stop') stop.abort();
        }),
      ...(place.log ? { log: place.log } : {}),
      ...(place.threadFile ? { threadFile: place.threadFile } : {}),
    });
    if (ending.aborted) return found('stopped');
    await writeResults(opened, head, dir, series.title, (step, remarks) => tell(step, counts, null, remarks), place.log);
    return found(counts.waiting + counts.running > 0 ? 'stopped' : 'done');
  } finally {
    await opened.close();
  }
}

type Tell = (step: string, remarks?: readonly string[]) => Promise<unknown>;

/** What is answered by now: tables, and the study made from them. Without a study the tables stand, so its lack is a remark. */
async function writeResults(
  store: SeriesStore,
  head: SeriesHead,
  dir: string,
  title: string,
  tell: Tell,
  log: WorkPlace['log'] = () => undefined,
): Promise<void> {
  await tell('Writing the tables');
  await writeTables(store, head, dir);
  await tell('Making the study');
  const studyDir = join(dir, 'study');
  // What an earlier state of the tables said is not left beside them.
  await rm(studyDir, { recursive: true, force: true });
  const made = await makeStudy(dir, studyDir, title).catch((error: unknown) => {
    log('program-error', { error: error instanceof Error ? error.stack : String(error) });
    return refused('program-error', 'the program met an error of its own while it was made. The tables are whole. Please report it.');
  });
  await tell('', made.ok ? [] : [`There is no study report: ${made.detail}`]);
}

async function makeStudy(dir: string, studyDir: string, title: string): Promise<Outcome<null, string>> {
  const tables = await readStudy(dir);
  if (!tables.ok) return tables;
  const { data, day, madeFrom } = tables.value;
  const options = { seed: 1, perSubject: 'last', untrusted: 'left-out', against: null, covariate: null, alpha: 0.05 } as const;
  const study = studyStatistics(data, { title, day, madeFrom, options, covariate: null });
  if (!study.ok) return study;
  await writeStudy(study.value, studyDir);
  return found(null);
}

async function exportWork(place: WorkPlace, { id, progress }: StoredSeries, keepGroups: boolean): Promise<Ended> {
  const tell = teller(place, id);
  const counts = progress?.counts ?? null;
  const remarks = progress?.remarks ?? [];
  await tell('Writing the export', counts, null, remarks);
  const dir = place.record.seriesFolder(id);
  const store = await openStore({ kind: 'sqlite', file: join(dir, SERIES_FILE) });
  try {
    const head = await store.head();
    if (!head) return refused('nothing-yet', 'No pair has been answered yet, so there is nothing to export. Measure the series first.');
    const key = await deidentifyKey(join(dir, 'deidentify.key'));
    if (!key.ok) return key;
    await writeTables(store, head, seriesSetDir(place.dataDir, id, 'deidentified'), {
      deidentifier: deidentifier(key.value, { keepGroups }),
    });
    await tell('', counts, null, remarks);
    return found('done');
  } finally {
    await store.close();
  }
}

type Named = Readonly<{ manifest: Manifest; manifestName: string; manifestSha256: string; folder: string | null }>;

async function manifestOf({ record }: WorkPlace, { id, source }: StoredSeries): Promise<Outcome<Named, string>> {
  if (source.kind === 'folder') {
    const file = await manifestFile(source.manifest);
    if (!file.ok) return file;
    const { text, format, has, name, bytes, folder } = file.value;
    const manifest = readManifest(text, format, has);
    return manifest.ok ? found({ manifest: manifest.value, manifestName: name, manifestSha256: sha256Of(bytes), folder }) : manifest;
  }
  const there = new Set((await record.seriesPhotos(id)).map(({ file }) => file));
  const manifest = readManifest(source.text, /\.json$/i.test(source.name) ? 'json' : 'csv', (file) => there.has(file));
  return manifest.ok
    ? found({ manifest: manifest.value, manifestName: source.name, manifestSha256: sha256Of(source.text), folder: null })
    : manifest;
}

/** Writes how far the series is, and says whether to go on. What cannot be told for want of room shows when results are written. */
function teller({ record, runner }: WorkPlace, id: string) {
  return (
    step: string,
    counts: SeriesPairCounts | null = null,
    perMinute: number | null = null,
    remarks: readonly string[] = [],
  ): Promise<'go-on' | 'stop'> => {
    const progress: SeriesProgress = { step, counts, perMinute, remarks: [...remarks] };
    return record.seriesProgress(id, runner, progress).catch(() => 'go-on' as const);
  };
}
